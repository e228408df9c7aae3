"""Pictures as they came: pixels at their own depth, embedded profile, ppi tag, orientation."""

from workbench.picture.assume import assumption_previews
from workbench.picture.opening import from_pixels, open_picture, opening_cost
from workbench.picture.picture import Picture

__all__ = ["Picture", "assumption_previews", "from_pixels", "open_picture", "opening_cost"]
