"""Plain numbers stay plain: nothing heavy is loaded for them."""

import pkgutil
import subprocess
import sys

import reefjournal.chemistry
import reefjournal.workshop

MODULES = [
    f"{package.__name__}.{module.name}"
    for package in (reefjournal.chemistry, reefjournal.workshop)
    for module in pkgutil.iter_modules(package.__path__)
]


def test_plain_numbers_load_no_numpy():
    code = (
        f"import sys, importlib\nfor name in {MODULES!r}: importlib.import_module(name)\n"
        "from reefjournal.chemistry import ammonia, oxygen\n"
        "ammonia.free_ammonia(0.5, 8.1, 25.0, 35.0); oxygen.oxygen_saturation_mg_l(25.0, 35.0)\n"
        "sys.exit('numpy' in sys.modules)"
    )
    assert len(MODULES) > 15
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
