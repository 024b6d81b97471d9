"""What the tests of hearing share: made-up and real struck bars, from the modules beside this one."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))  # the benchmark reads these modules in the same way
