"""A picture as somebody's phone made it, into the one the yard keeps: decoded, shrunk, nameless."""

from dataclasses import dataclass
from io import BytesIO

import pillow_heif
from PIL import Image, ImageOps

from yardwright.yard.refused import Refused

MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000  # a phone's largest of today; decoded it takes 180 MB
LONGEST_PX, QUALITY = 1600, 82
SMALL_PX, SMALL_BYTES = 320, 25_000
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
GPS = 0x8825  # where the picture was taken, among what a camera writes into it
TAKEN = "Take a JPEG, PNG, HEIC or WebP."

pillow_heif.register_heif_opener()


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG and its small twin; width and height are the large one's, in pixels."""

    jpeg: bytes
    small: bytes
    width: int
    height: int


def picture(given: bytes, *, keep_place: bool = False) -> Picture:
    """What the yard keeps of a picture: upright, at most 1600 px, with nothing a camera wrote into it.

    Parameters
    ----------
    given : bytes
        A JPEG, PNG, WebP or HEIC of at most 25 MB and 60 million pixels.
    keep_place : bool
        Where it was taken is kept, and nothing else of what the camera wrote.

    Raises
    ------
    Refused
        It is no picture, is damaged or too large.
    """
    if len(given) > MOST_BYTES:
        raise too_large(len(given))
    try:
        with Image.open(BytesIO(given), formats=FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise _too_many(opened.width * opened.height)
            place = _place(opened) if keep_place else None
            large = _on_white(ImageOps.exif_transpose(_shrunk(opened)))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise Refused("This picture is far too large.", "Take a smaller one.") from error
    except Refused:
        raise
    except Exception as error:  # a decoder breaks over a damaged file in many ways
        raise Refused("This is no picture, or a damaged one.", TAKEN) from error
    return Picture(_jpeg(large, QUALITY, place), _small(large), large.width, large.height)


def too_large(size: int) -> Refused:
    return Refused(
        f"This photo has {size / 1e6:.0f} MB.", f"Send at most {MOST_BYTES / 1e6:.0f} MB."
    )


def _too_many(pixels: int) -> Refused:
    return Refused(
        f"This picture has {pixels / 1e6:.0f} million pixels.",
        f"Take one of at most {MOST_PIXELS / 1e6:.0f} million.",
    )


def _shrunk(opened: Image.Image) -> Image.Image:
    """Before anything else is done with it: at full size each deed takes a copy of it all."""
    opened.draft("RGB", (LONGEST_PX, LONGEST_PX))  # a JPEG is decoded no finer than it is kept
    opened.load()
    mode = "RGBA" if opened.has_transparency_data else "RGB"
    seen = opened if opened.mode == mode else opened.convert(mode)
    seen.thumbnail((LONGEST_PX, LONGEST_PX))
    return seen


def _place(opened: Image.Image) -> bytes | None:
    gps = opened.getexif().get_ifd(GPS)
    if not gps:
        return None
    kept = Image.Exif()
    kept[GPS] = gps
    return kept.tobytes()


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode == "RGB":
        return image
    white = Image.new("RGBA", image.size, "white")
    return Image.alpha_composite(white, image).convert("RGB")


def _jpeg(image: Image.Image, quality: int, exif: bytes | None = None) -> bytes:
    bare = Image.new("RGB", image.size)
    bare.paste(image)  # no comment, profile or EXIF comes along
    written = BytesIO()
    if exif is None:
        bare.save(written, "JPEG", quality=quality, optimize=True)
    else:
        bare.save(written, "JPEG", quality=quality, optimize=True, exif=exif)
    return written.getvalue()


def _small(image: Image.Image) -> bytes:
    """So light that a day's boats take theirs along."""
    small = image.copy()
    small.thumbnail((SMALL_PX, SMALL_PX))
    written = b""
    for quality in (70, 55, 40, 25, 10):
        written = _jpeg(small, quality)
        if len(written) <= SMALL_BYTES:
            break
    return written
