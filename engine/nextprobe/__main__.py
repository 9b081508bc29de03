"""``python -m nextprobe`` does what the command ``nextprobe`` does."""

from __future__ import annotations

import sys

from nextprobe.cli.main import main

sys.exit(main())
