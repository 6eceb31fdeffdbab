"""Formulas whose reports the tests look at; all invented."""

CREAM = """
[formula]
code = "T-1"
name = "Test cream"
emulsion = "water-in-oil"
note = "Invented laboratory"
[brief]
name = "Test brief"
label_spf = 20
critical_wavelength_min_nm = 370
natural_origin_min_percent = 95
white_cast_max_delta_e00 = 6
skin_classes = ["light", "dark"]
cost_max_per_kg = 9
viscosity_max_mPas = 30000
non_nano = true
[[phase]]
name = "A"
kind = "oil"
temperature_C = 60
ingredient = [
  { material = "caprylic-capric-triglyceride", percent = 20.0 },
  { material = "polyglyceryl-2-dipolyhydroxystearate", percent = 4.0 },
]
[[phase]]
name = "B"
kind = "pigment"
ingredient = [
  { material = "zinc-oxide-120-stearate", percent = 16.0 },
  { material = "titanium-dioxide-35-alumina-stearate", percent = 3.0 },
]
[[phase]]
name = "C"
kind = "water"
ingredient = [
  { material = "water", percent = "rest" },
  { material = "glycerin", percent = 4.0 },
]
"""

HOSTILE = '<script>alert(1)</script><img src=x onerror=alert(2)> & "it\'s"'

VERDICTS = ("passes", "short", "fails", "unknown")
