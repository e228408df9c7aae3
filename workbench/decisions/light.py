"""The light that a print hangs in, and the screen beside it."""

from __future__ import annotations

from workbench.decisions.decision import BRIGHTEST_LUX, Decision
from workbench.language import tr

DECLARED = (
    Decision(
        "illuminance_lux", 500.0, "light", tr("Light on the print"),
        tr("Measured where the print hangs, in front of its glass, facing the room"),
        unit=tr("lux"), low=1.0, high=BRIGHTEST_LUX, slider=(20, 5000, 0.02), by_ratio=True,
    ),
    Decision(
        "light", "D50", "light", tr("Colour of the light"),
        tr("A colour temperature from 2000 to 10000 K, or a CIE illuminant"),
        about=tr("an illuminant or a colour temperature in kelvin"),
    ),
    Decision(
        "glass", "", "light", tr("Glass before the print"),
        tr("Takes some light, and mirrors the room over the print"),
        about=tr('name of the glass before the print; "" for none'),
    ),
    Decision(
        "room_share", None, "light", tr("Mirrored room"),
        tr("How bright the wall and windows opposite are that you see in glass and gloss: 100 % is "
        "as bright as a white sheet held before the print"),
        about=tr("what glass and gloss mirror, over a white sheet; left out, the usual"),
        high=5.0, slider=(0, 1, 0.01), optional=True,
    ),
    Decision(
        "wall_reflectance", 0.5, "light", tr("Wall around the print"),
        tr("How much of the light it sends back: white paint 80 to 90 %, grey 20 to 50 %, a dark "
        "wall 5 to 10 % (common practice, no source)"),
        about=tr("how much of the light the wall sends back"),
        low=0.01, high=0.95, slider=(0.02, 0.95, 0.01),
    ),
    Decision(
        "lamp_azimuth_deg", 135.0, "light", tr("Lamp's side"),
        tr("From where it shines: 0° from the right, 90° from above, 180° from the left"),
        about=tr("from where a lamp shines on the sheet: 0 right, 90 above, 180 left"),
        unit="°", high=360.0, slider=(0, 360, 1),
    ),
    Decision(
        "lamp_elevation_deg", 30.0, "light", tr("Lamp's height"),
        tr("Above the sheet: 90° shines straight down on it, 10° grazes it and shows every fibre"),
        about=tr("a lamp's angle above the sheet"),
        unit="°", low=1.0, high=90.0, slider=(5, 90, 1),
    ),
    Decision(
        "lamp_size_cm", 2.0, "light", tr("Lamp's size"),
        tr("Across; a small one draws sharp shadows and glints, a wide one soft ones"),
        about=tr("a lamp's diameter, as seen from 1 m where its light is parallel"),
        unit="cm", high=200.0, slider=(0, 60, 1),
    ),
    Decision(
        "lamp_distance_m", 0.0, "light", tr("Lamp's distance"),
        tr("From the middle of what is shown: a near lamp lights one side more; 0 for one so far "
        "that all is lit alike"),
        about=tr("a lamp's distance from the sheet's middle, 0.1 and more; 0 for parallel light"),
        unit="m", high=100.0, slider=(0, 3, 0.05),
    ),
    Decision(
        "even_light", 0.2, "light", tr("Even light"),
        tr("The share of the light that comes from everywhere, as from a white room"),
        about=tr("share of the light on the sheet that comes from everywhere"),
        high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "screen_luminance_cd_m2", 0.0, "light", tr("Your screen's white"),
        tr("As measured, or as set when the screen was calibrated; 0 where it is not known"),
        about=tr("of the screen's white; 0 where not known"),
        unit="cd/m²", high=10_000.0, slider=(30, 1000, 0.02), by_ratio=True,
    ),
    Decision(
        "screen_contrast_ratio", 1000.0, "light", tr("Your screen's contrast"),
        tr("White over black; 1000 is usual for screens with a backlight (common practice, no "
        "source); 0 where it is not known"),
        about=tr("of the screen; 0 where not known"), unit=":1", high=10_000_000.0,
    ),
)  # fmt: skip
