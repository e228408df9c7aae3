"""Pages to take away: one HTML file that shows a print on several papers, without Python or network.

`packing` makes arrays into text, `page` writes the file, `takeaway.js` is what runs in it, on
top of the live view's own module.
"""

from workbench.takeaway.page import WrittenPage, write_takeaway

__all__ = ["WrittenPage", "write_takeaway"]
