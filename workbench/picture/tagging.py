"""Which profile a picture's numbers belong to: embedded, chosen by the person, or none."""

from __future__ import annotations

import os

from workbench.colour.profile import Profile, read_profile
from workbench.colour.spaces import GREY_SPACES, RGB_SPACES, standard_profile
from workbench.errors import PictureError, ProfileError
from workbench.files import path_of, shown
from workbench.files.text import quoted
from workbench.language import tr

_SPACE = {1: "GRAY", 3: "RGB"}
_WORD = {"GRAY": tr("grey"), "RGB": "RGB", "LAB": "Lab"}
_MATRIX = ("rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC")
_TABLES = ("A2B0", "A2B1", "A2B2")


def usual_spaces(channels: int) -> tuple[str, ...]:
    """Names of the usual assumptions for a grey (1) or RGB (3) picture."""
    return GREY_SPACES if channels == 1 else RGB_SPACES


def for_channels(name: str | None, channels: int) -> str | None:
    """A standard space's own curve for grey pictures; the space itself for RGB."""
    if name is None or channels == 3:
        return name
    return "Grey, sRGB curve" if name in ("sRGB", "Display P3") else "Grey, power 2.2"


def profile_name(profile: Profile) -> str:
    return profile.description or tr("a profile without a name")


def why_unusable(profile: Profile, channels: int) -> str | None:
    """Why a profile cannot say what this picture's numbers look like, or None if it can."""
    if profile.device_class in ("link", "abstract", "named"):
        return tr(
            "it is a profile of class “{kind}”, which describes no picture",
            kind=profile.device_class,
        )
    if profile.space != _SPACE[channels]:
        have, want = (_WORD.get(s, s) for s in (profile.space, _SPACE[channels]))
        return tr("it is for {have} and the picture is {want}", have=have, want=want)
    needed = _MATRIX if channels == 3 else ("kTRC",)
    if any(t in profile.tags for t in _TABLES) or all(t in profile.tags for t in needed):
        return None
    return tr("it lacks the tables that lead from the picture's numbers to colours")


def embedded_profile(data: bytes, channels: int) -> tuple[Profile, None] | tuple[None, str]:
    """The checked embedded profile, or None and a note that says why it is not used."""
    try:
        profile = read_profile(data)
        reason = why_unusable(profile, channels)
    except ProfileError as problem:
        return None, tr(
            "The embedded profile is not used, as if there were none: {problem}", problem=problem
        )
    if reason is None:
        return profile, None
    return None, (
        tr(
            "The embedded profile “{name}” is not used, as if there were none: {reason}.",
            name=profile_name(profile),
            reason=reason,
        )
    )


def assumed_profile(assumption, channels: int) -> tuple[bytes, str]:
    """Profile bytes and name for what the person chose.

    Parameters
    ----------
    assumption : name of a usual space, profile bytes, or the path of a profile.

    Raises
    ------
    PictureError
        if it is none of these, or does not fit the picture's channels.
    """
    choices = usual_spaces(channels)
    if isinstance(assumption, str) and assumption in choices:
        return standard_profile(assumption), assumption
    listed = ", ".join(map(quoted, choices))
    word = _WORD[_SPACE[channels]]
    if isinstance(assumption, str) and assumption in RGB_SPACES + GREY_SPACES:
        raise PictureError(
            tr(
                "“{assumption}” does not fit this picture, which is {kind}; choose one of {known}.",
                assumption=assumption,
                kind=word,
                known=listed,
            )
        )
    if isinstance(assumption, str) and not os.path.lexists(path_of(assumption, PictureError)):
        raise PictureError(
            tr(
                "“{given}” is neither a space the workbench knows nor a profile file; choose "
                "one of {known}, or give the path of a profile.",
                given=shown(assumption),
                known=listed,
            )
        )
    if not isinstance(assumption, (str, os.PathLike, bytes, bytearray, memoryview)):
        raise PictureError(
            tr(
                "The assumed profile is given as a name, a path or bytes, not as {kind}; "
                "choose one of {known}.",
                kind=type(assumption).__name__,
                known=listed,
            )
        )
    try:
        profile = read_profile(assumption)
    except ProfileError as problem:
        raise PictureError(
            tr("The chosen profile cannot be used: {problem}", problem=problem)
        ) from problem
    reason = why_unusable(profile, channels)
    if reason is not None:
        raise PictureError(
            tr(
                "The chosen profile “{name}” cannot be used: {reason}. Choose one of "
                "{known}, or another profile.",
                name=profile_name(profile),
                reason=reason,
                known=listed,
            )
        )
    return profile.data, profile_name(profile)
