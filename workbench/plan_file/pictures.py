"""The plan's picture: by its file, or by name where it is the invented one."""

from __future__ import annotations

import io
from pathlib import Path

from workbench import files
from workbench.colour.spaces import standard_profile
from workbench.errors import PlanError
from workbench.language import tr
from workbench.picture import open_picture
from workbench.picture.files import PictureFile
from workbench.picture.picture import Picture
from workbench.picture.sniff import kind_of
from workbench.picture.tagging import usual_spaces
from workbench.plan_file.beside import MOST_BYTES, Beside, path_text, unchanged
from workbench.plan_file.fields import shown
from workbench.plan_file.former_names import present_name
from workbench.plan_file.report import Report

SECTION = "picture"
KEYS = {
    "invented": tr("true for the picture that the workbench draws itself"),
    "name": tr("of the invented picture"),
    "file": tr("seen from this plan's folder, or a whole path"),
    "sha256": tr("of the picture file when this plan was saved"),
    "assumed_space": tr("what you chose for a picture without a profile of its own"),
    "assumed_profile": tr("the profile you chose for a picture without one of its own"),
    "assumed_profile_sha256": tr("of that profile"),
}


def picture_values(picture: Picture, beside: Beside) -> dict:
    """What a plan says of its picture.

    A picture that lies in no file is put beside the plan, as TIFF with the very same pixels.

    Raises
    ------
    PlanError, OutputError
    """
    if not hasattr(picture, "require_profile"):
        raise PlanError(
            tr("“picture” holds {shown}, which is not a picture; open one.", shown=shown(picture))
        )
    if picture.kind == "invented":
        return {"invented": True, "name": picture.name}
    if picture.path is not None:
        values = {
            "file": path_text(picture.path, beside.folder),
            "sha256": files.file_checksum(picture.path, MOST_BYTES["picture"], PlanError),
        }
    else:
        data = _as_tiff(picture)
        values = {"file": beside.picture(data, picture.name or "picture")}
        values["sha256"] = files.checksum(data)
    if picture.profile is not None and picture.profile_assumed:
        space = picture.profile_name
        if space in usual_spaces(picture.channels) and picture.profile == standard_profile(space):
            values["assumed_space"] = space
        else:
            values["assumed_profile"] = beside.profile(picture.profile, space or "assumed profile")
            values["assumed_profile_sha256"] = files.checksum(picture.profile)
    return values


def _as_tiff(picture: Picture) -> bytes:
    import tifffile

    pixels = picture.pixels()
    out = io.BytesIO()
    tifffile.imwrite(
        out,
        pixels if picture.channels == 3 else pixels[..., 0],
        photometric="rgb" if picture.channels == 3 else "minisblack",
        # a profile that a person chose is not the picture's own
        iccprofile=None if picture.profile_assumed else picture.profile,
        resolution=(picture.ppi_tag, picture.ppi_tag) if picture.ppi_tag else None,
        resolutionunit="INCH" if picture.ppi_tag else None,
        metadata=None,
        software=False,
    )
    return out.getvalue()


def picture_comment(picture: Picture) -> str:
    """One line that tells the picture from others."""
    colours = picture.profile_name or tr("no colour profile")
    return tr(
        "{width_px} × {height_px} pixels, {bit_depth} bits, {colours}",
        width_px=picture.width_px,
        height_px=picture.height_px,
        bit_depth=picture.bit_depth,
        colours=colours,
    )


def picture_of(table: dict, folder: Path, report: Report):
    """The picture that a plan's table describes, or None with the problems noted."""
    for key in table:
        if key not in KEYS:
            report.notice(
                tr("“{key}” is not a key of a picture and was passed over.", key=key), SECTION, key
            )
    values = {}
    for key in KEYS:
        if key not in table:
            continue
        wanted = bool if key == "invented" else str
        if not isinstance(table[key], wanted) or table[key] == "":
            word = tr("true or false") if wanted is bool else tr("text in quotes")
            report.problem(
                tr(
                    "“{key}” takes {word}, not {shown}.",
                    key=key,
                    word=word,
                    shown=shown(table[key]),
                ),
                SECTION,
                key,
            )
            return None
        values[key] = table[key]
    if values.get("invented"):
        return _invented(values.get("name"), report)
    if "file" not in values:
        report.problem(tr("the picture has no “file”; name one."), SECTION)
        return None
    path = folder / values["file"]
    # what is not a picture need not be read through first
    if report.take(lambda: kind_of(PictureFile(path)), SECTION, "file") is None:
        return None
    if not unchanged(path, values.get("sha256"), "picture", report, SECTION, "file"):
        return None
    assumed = None
    if "assumed_space" in values:
        key, assumed = "assumed_space", present_name(values["assumed_space"])
    elif "assumed_profile" in values:
        key, assumed = "assumed_profile", folder / values["assumed_profile"]
        noted = values.get("assumed_profile_sha256")
        if not unchanged(assumed, noted, "profile", report, SECTION, key):
            return None
    picture = report.take(
        lambda: open_picture(path, progress=report.progress, cancelled=report.cancelled),
        SECTION,
        "file",
    )
    if picture is None or assumed is None:
        return picture
    return report.take(lambda: picture.assume(assumed), SECTION, key)


def _invented(name, report: Report):
    from workbench.demo import demo_picture

    picture = demo_picture()
    if name not in (None, picture.name):
        report.problem(
            tr(
                "there is no invented picture {shown}; there is “{name}”.",
                shown=shown(name),
                name=picture.name,
            ),
            SECTION,
            "name",
        )
        return None
    return picture
