"""Weather from a file, or an assumed day: what the air of a dry run is.

Everything here is pure; `shell.weather_file` opens the file. Readers turn text into one
`Weather`; an `AirSeries` answers what the air is at an instant, and when it next passes a
threshold.
"""
