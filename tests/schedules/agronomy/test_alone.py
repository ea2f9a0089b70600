import subprocess
import sys

MODULES = (
    "climate emergence evenings flights frost frost_odds frost_words slugs soil_temperature "
    "thermal_time warmth"
)


def test_agronomy_and_crops_load_without_a_framework():
    names = ", ".join(f"schedules.agronomy.{each}" for each in MODULES.split())
    code = f"import sys, {names}, plots.crops; print('django' in sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert loaded.stdout.strip() == "False"
