"""What speaks NMEA or a serial cable comes apart, for who has such sensors."""

from importlib import import_module
from types import ModuleType

HOW = {
    "pynmeagps": "NMEA 0183 needs a library",
    "nmea2000.decoder": "NMEA 2000 needs a library",
    "serial": "a serial cable needs a library",
}


def library(name: str) -> ModuleType:
    """A library that need not be here.

    Parameters
    ----------
    name : str
        One of those in ``HOW``.

    Returns
    -------
    module
        The library.

    Raises
    ------
    ValueError
        It is not installed: what for it is needed, and how to get it.
    """
    try:
        return import_module(name)
    except ModuleNotFoundError as missing:
        package = {"serial": "pyserial"}.get(name, name.partition(".")[0])
        raise ValueError(f"{HOW[name]}: pip install {package}") from missing
