"""`python -m controller` is `rootclock`."""

import sys

from controller.cli.main import main

sys.exit(main())
