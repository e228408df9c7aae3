"""Invented spectra of papers, for tests: smooth curves, one with a brightener's bump."""

import struct

import numpy as np

from workbench.colour.profile import read_profile

BANDS_NM = np.arange(380, 731, 10)


def invented_white(nm=BANDS_NM, *, brightener: float = 0.16) -> np.ndarray:
    """Shares of light of an invented paper: a fall in the violet, and a bump around 440 nm."""
    nm = np.asarray(nm, dtype=float)
    smooth = 0.9 / (1 + np.exp((408 - nm) / 9)) * (1 - 0.00004 * (730 - nm))
    return smooth + brightener * np.exp(-(((nm - 440) / 24) ** 2))


def spectral_file(*rows, nm=BANDS_NM, condition: str | None = "M1") -> bytes:
    """A measurement file, as CGATS.17 describes it, of (RGB, spectrum) rows."""
    fields = " ".join(f"SPECTRAL_{band:g}" for band in nm)
    head = f'MEASUREMENT_CONDITION "{condition}"\n' if condition else ""
    body = "\n".join(
        f"{n} {' '.join(map(str, device))} {' '.join(f'{share:.6f}' for share in shares)}"
        for n, (device, shares) in enumerate(rows, 1)
    )
    text = (
        f"CGATS.17\n{head}BEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B {fields}\n"
        f"END_DATA_FORMAT\nBEGIN_DATA\n{body}\nEND_DATA\n"
    )
    return text.encode()


WHITE, BLACK = (255, 255, 255), (0, 0, 0)


def bright_file(**options) -> bytes:
    """The invented paper's white, twice, and its black."""
    white = invented_white()
    return spectral_file(
        (WHITE, white + 0.001), (WHITE, white - 0.001), (BLACK, 0 * white + 0.01), **options
    )


def with_readings(profile: bytes, readings: bytes) -> bytes:
    """A profile that holds these readings as the ones it was made from (charTargetTag)."""
    tags = read_profile(profile).tags
    kept = b"text" + bytes(4) + readings + b"\0"
    at = len(profile) + -len(profile) % 4
    table = b"".join(
        struct.pack(">4sII", signature.encode(), offset + 12, size)
        for signature, (offset, size) in tags.items()
    ) + struct.pack(">4sII", b"targ", at + 12, len(kept))
    start = 132 + 12 * len(tags)
    body = profile[start:].ljust(at - start, b"\0") + kept
    body += bytes(-len(body) % 4)
    whole = profile[4:128] + struct.pack(">I", len(tags) + 1) + table + body
    return struct.pack(">I", len(whole) + 4) + whole
