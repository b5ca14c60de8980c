"""Named places for tests: real coordinates and zones, chosen to be awkward.

All continents, both sides of the date line, zones from -11 to +14 h and of 30 and 45
minutes, zones far from their meridian, the tropics, and both polar regions. Coordinates
are rounded to 0.01 degrees (about 1 km, 3 s of sun time); from memory, and it does not
matter: every check compares two computations for the same numbers.
"""

from __future__ import annotations

from typing import NamedTuple

from controller.core.plan import Site


class Place(NamedTuple):
    """Where on Earth, in degrees (north and east positive), and whose clocks are read."""

    name: str
    latitude: float
    longitude: float
    timezone: str

    @property
    def site(self) -> Site:
        """The place as a plan has it."""
        return Site(latitude=self.latitude, longitude=self.longitude, timezone=self.timezone)


PLACES = (
    # Europe
    Place("Zurich", 47.37, 8.54, "Europe/Zurich"),
    Place("London", 51.51, -0.13, "Europe/London"),  # on the meridian of zero
    Place("Dublin", 53.35, -6.26, "Europe/Dublin"),  # tz says: summer is standard, winter negative
    Place("Lisbon", 38.72, -9.14, "Europe/Lisbon"),
    Place("Madrid", 40.42, -3.70, "Europe/Madrid"),
    Place("Vigo", 42.24, -8.72, "Europe/Madrid"),  # 2.6 h from its summer clock's meridian
    Place("Paris", 48.86, 2.35, "Europe/Paris"),
    Place("Berlin", 52.52, 13.41, "Europe/Berlin"),
    Place("Rome", 41.90, 12.50, "Europe/Rome"),
    Place("Athens", 37.98, 23.73, "Europe/Athens"),
    Place("Istanbul", 41.01, 28.98, "Europe/Istanbul"),  # stayed in summer time in 2016
    Place("Chisinau", 47.01, 28.86, "Europe/Chisinau"),
    Place("Kyiv", 50.45, 30.52, "Europe/Kyiv"),
    Place("Volgograd", 48.71, 44.51, "Europe/Volgograd"),  # +4, +3, +4, +3 within ten years
    Place("Kaliningrad", 54.71, 20.51, "Europe/Kaliningrad"),
    Place("Stockholm", 59.33, 18.07, "Europe/Stockholm"),
    Place("Uppsala", 59.86, 17.64, "Europe/Stockholm"),
    Place("Helsinki", 60.17, 24.94, "Europe/Helsinki"),
    Place("Trondheim", 63.43, 10.40, "Europe/Oslo"),
    Place("Reykjavik", 64.15, -21.94, "Atlantic/Reykjavik"),  # sets after midnight in June
    Place("Akureyri", 65.68, -18.09, "Atlantic/Reykjavik"),
    Place("Rovaniemi", 66.50, 25.73, "Europe/Helsinki"),  # a few days from the circle
    Place("Bodo", 67.28, 14.40, "Europe/Oslo"),
    Place("Tromso", 69.65, 18.96, "Europe/Oslo"),
    Place("Murmansk", 68.97, 33.09, "Europe/Moscow"),
    Place("Longyearbyen", 78.22, 15.65, "Arctic/Longyearbyen"),
    Place("Azores", 37.74, -25.67, "Atlantic/Azores"),
    Place("Canaries", 28.12, -15.43, "Atlantic/Canary"),
    # Africa
    Place("Cairo", 30.04, 31.24, "Africa/Cairo"),  # days without midnight; stopped and resumed
    Place("Casablanca", 33.57, -7.59, "Africa/Casablanca"),  # clocks back for Ramadan
    Place("El Aaiun", 27.15, -13.20, "Africa/El_Aaiun"),
    Place("Tunis", 36.81, 10.18, "Africa/Tunis"),
    Place("Dakar", 14.72, -17.47, "Africa/Dakar"),
    Place("Monrovia", 6.30, -10.80, "Africa/Monrovia"),  # 44 min 30 s behind until 1972
    Place("Lagos", 6.52, 3.38, "Africa/Lagos"),
    Place("Sao Tome", 0.34, 6.73, "Africa/Sao_Tome"),
    Place("Nairobi", -1.29, 36.82, "Africa/Nairobi"),
    Place("Addis Ababa", 9.03, 38.74, "Africa/Addis_Ababa"),
    Place("Khartoum", 15.50, 32.56, "Africa/Khartoum"),
    Place("Juba", 4.86, 31.57, "Africa/Juba"),
    Place("Windhoek", -22.56, 17.07, "Africa/Windhoek"),  # winter time by law, negative
    Place("Johannesburg", -26.20, 28.05, "Africa/Johannesburg"),
    Place("Cape Town", -33.92, 18.42, "Africa/Johannesburg"),
    Place("Antananarivo", -18.88, 47.51, "Indian/Antananarivo"),
    Place("Reunion", -20.88, 55.45, "Indian/Reunion"),
    # Asia
    Place("Gaza", 31.50, 34.47, "Asia/Gaza"),
    Place("Amman", 31.95, 35.93, "Asia/Amman"),
    Place("Tehran", 35.69, 51.39, "Asia/Tehran"),  # +3:30, summer time at midnight until 2022
    Place("Dubai", 25.20, 55.27, "Asia/Dubai"),
    Place("Kabul", 34.56, 69.21, "Asia/Kabul"),  # +4:30
    Place("Karachi", 24.86, 67.01, "Asia/Karachi"),
    Place("Delhi", 28.61, 77.21, "Asia/Kolkata"),  # +5:30; sunrise at 00:00 UTC in May
    Place("Kathmandu", 27.72, 85.32, "Asia/Kathmandu"),  # +5:45
    Place("Dhaka", 23.81, 90.41, "Asia/Dhaka"),
    Place("Yangon", 16.84, 96.17, "Asia/Yangon"),  # +6:30
    Place("Bangkok", 13.76, 100.50, "Asia/Bangkok"),
    Place("Singapore", 1.35, 103.82, "Asia/Singapore"),  # an hour ahead of its meridian
    Place("Jakarta", -6.21, 106.85, "Asia/Jakarta"),
    Place("Jayapura", -2.53, 140.72, "Asia/Jayapura"),
    Place("Manila", 14.60, 120.98, "Asia/Manila"),
    Place("Taipei", 25.03, 121.57, "Asia/Taipei"),
    Place("Shanghai", 31.23, 121.47, "Asia/Shanghai"),
    Place("Urumqi", 43.83, 87.62, "Asia/Shanghai"),  # two hours behind its clocks
    Place("Kashgar", 39.47, 75.99, "Asia/Shanghai"),  # three hours behind its clocks
    Place("Pyongyang", 39.02, 125.75, "Asia/Pyongyang"),  # half an hour back in 2015, on in 2018
    Place("Seoul", 37.57, 126.98, "Asia/Seoul"),
    Place("Tokyo", 35.68, 139.69, "Asia/Tokyo"),
    Place("Ulaanbaatar", 47.89, 106.91, "Asia/Ulaanbaatar"),
    Place("Almaty", 43.24, 76.89, "Asia/Almaty"),
    Place("Yakutsk", 62.03, 129.73, "Asia/Yakutsk"),
    Place("Tiksi", 71.64, 128.87, "Asia/Yakutsk"),
    Place("Petropavlovsk", 53.02, 158.65, "Asia/Kamchatka"),
    Place("Anadyr", 64.73, 177.51, "Asia/Anadyr"),
    Place("Uelen", 66.16, -169.81, "Asia/Anadyr"),  # west longitude, east clocks
    # Oceania
    Place("Perth", -31.95, 115.86, "Australia/Perth"),
    Place("Eucla", -31.68, 128.88, "Australia/Eucla"),  # +8:45
    Place("Darwin", -12.46, 130.84, "Australia/Darwin"),  # +9:30
    Place("Adelaide", -34.93, 138.60, "Australia/Adelaide"),  # +9:30 and +10:30
    Place("Sydney", -33.87, 151.21, "Australia/Sydney"),
    Place("Hobart", -42.88, 147.33, "Australia/Hobart"),
    Place("Lord Howe", -31.55, 159.08, "Australia/Lord_Howe"),  # summer time of 30 min
    Place("Norfolk", -29.03, 167.95, "Pacific/Norfolk"),
    Place("Port Moresby", -9.44, 147.18, "Pacific/Port_Moresby"),
    Place("Auckland", -36.85, 174.76, "Pacific/Auckland"),
    Place("Chatham", -43.95, -176.56, "Pacific/Chatham"),  # +12:45 and +13:45
    Place("Suva", -18.14, 178.44, "Pacific/Fiji"),
    Place("Apia", -13.83, -171.77, "Pacific/Apia"),  # no 30 December 2011
    Place("Pago Pago", -14.28, -170.70, "Pacific/Pago_Pago"),  # -11, 100 km from +13
    Place("Tongatapu", -21.14, -175.20, "Pacific/Tongatapu"),
    Place("Kiritimati", 1.87, -157.43, "Pacific/Kiritimati"),  # +14
    Place("Marquesas", -8.91, -140.10, "Pacific/Marquesas"),  # -9:30
    Place("Honolulu", 21.31, -157.86, "Pacific/Honolulu"),
    Place("Kwajalein", 9.19, 167.42, "Pacific/Kwajalein"),  # no 21 August 1993
    # North America
    Place("Adak", 51.88, -176.66, "America/Adak"),
    Place("Anchorage", 61.22, -149.90, "America/Anchorage"),  # dusk after midnight in June
    Place("Utqiagvik", 71.29, -156.79, "America/Anchorage"),
    Place("Seattle", 47.61, -122.33, "America/Los_Angeles"),
    Place("Phoenix", 33.45, -112.07, "America/Phoenix"),
    Place("Golden", 39.74, -105.18, "America/Denver"),
    Place("New York", 40.7128, -74.006, "America/New_York"),
    Place("St. John's", 47.56, -52.71, "America/St_Johns"),  # -3:30; clocks moved at 00:01
    Place("Inuvik", 68.36, -133.72, "America/Inuvik"),
    Place("Iqaluit", 63.75, -68.52, "America/Iqaluit"),
    Place("Resolute", 74.70, -94.83, "America/Resolute"),
    Place("Nuuk", 64.18, -51.72, "America/Nuuk"),
    Place("Ittoqqortoormiit", 70.48, -21.97, "America/Scoresbysund"),
    Place("Alert", 82.50, -62.35, "America/Toronto"),
    Place("Havana", 23.11, -82.37, "America/Havana"),  # days without midnight
    Place("Panama", 8.98, -79.52, "America/Panama"),
    # South America
    Place("Quito", -0.18, -78.47, "America/Guayaquil"),
    Place("Caracas", 10.48, -66.90, "America/Caracas"),  # -4:30 from 2007 to 2016
    Place("Sao Paulo", -23.55, -46.63, "America/Sao_Paulo"),  # days without midnight until 2018
    Place("Santiago", -33.45, -70.67, "America/Santiago"),  # days without midnight
    Place("Buenos Aires", -34.60, -58.38, "America/Argentina/Buenos_Aires"),
    Place("Ushuaia", -54.80, -68.30, "America/Argentina/Ushuaia"),  # sunset at 00:00 UTC
    # Antarctica
    Place("McMurdo", -77.85, 166.67, "Antarctica/McMurdo"),
    Place("Casey", -66.28, 110.53, "Antarctica/Casey"),  # changed its mind by three hours
    Place("Troll", -72.01, 2.53, "Antarctica/Troll"),  # summer time of two hours
    Place("Palmer", -64.77, -64.05, "Antarctica/Palmer"),
    Place("Vostok", -78.46, 106.84, "Antarctica/Vostok"),
)

BY_NAME = {place.name: place for place in PLACES}
