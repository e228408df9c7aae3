"""What the picture holds and what the eye needs lie where the axes say."""

from __future__ import annotations

import numpy as np
import pytest
from analysis.test_seen import grating, on_paper

from workbench.analysis.eye import FINE_CONTRAST
from workbench.analysis.seen import seen_detail
from workbench.figures.seen import SeenFigure


@pytest.mark.parametrize(("ppi", "printer_ppi"), [(300, 360), (200, 360), (600, 360)])
def test_contrast_and_fineness_are_those_of_the_print(ppi, printer_ppi):
    seen = seen_detail(grating(0.2), ppi=ppi, viewing_distance_mm=1500, printer_ppi=printer_ppi)
    figure = SeenFigure(seen)
    fine, contrast = figure._picture.get_data()
    # two pixels to a cycle hold it: 0.2 cycles to a pixel are 0.4 of the picture's ppi
    assert fine[contrast.argmax()] == pytest.approx(0.4 * ppi, rel=0.12)
    assert contrast.max() == pytest.approx(on_paper(0.4), rel=0.03)
    assert fine.max() <= min(ppi, printer_ppi) == figure._end.get_xdata()[0]
    for curve, place in zip(figure._needed, seen.places, strict=True):
        ppi_needed, needed = curve.get_data()
        beyond = ppi_needed > place.eye_limit_ppi
        # finer than the eye's limit it needs more than the contrast that this is stated for
        assert (needed[beyond] >= FINE_CONTRAST * 0.99).all()
        assert needed[~beyond][-1] == pytest.approx(FINE_CONTRAST, rel=0.25)
        assert needed[~beyond][-1] <= FINE_CONTRAST * 1.01
    words = [text.get_text() for text in figure._legend.get_texts()]
    assert "across the room, 1.5 m" in words and not np.isnan(contrast).any()
