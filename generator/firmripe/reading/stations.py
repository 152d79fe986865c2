"""The packed table of weather stations that ships on the shelf, as bytes and back.

A few lines of ASCII say what follows (name and number of the format, the period of years, the keys of the sources, the
number of stations), an empty line ends them, and a zlib stream follows. In it stand, as 16-bit whole numbers with the
low byte first:

- latitude and longitude (hundredths of a degree) and height (metres) of every station, a column each;
- the usual lowest temperature of January of every station (tenths of °C), then of each later month less the month
  before it; the same for highest less lowest;
- the four coefficients and the 24 x 24 covariance of the error (thousandths), as `StationError` has them;

and then the stations' names in UTF-8, one a line. `generator/pack_stations.py` writes it.
"""

from __future__ import annotations

import zlib
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from firmripe.holding.stations import MONTHS, VALUES, Floats, StationError, Stations
from firmripe.problems import Problems, Where
from firmripe.reading.fields import SHELF

FILE: Final = "stations.bin"
_KIND: Final = "firmripe stations 1"
_DEGREES, _TENTHS, _THOUSANDTHS = 100, 10, 1000
_WHOLE: Final = np.dtype("<i2")
_COEFFICIENTS: Final = 4
_NONE: Final = Stations()


def read_stations(shelf: Path, problems: Problems) -> Stations:
    """Return the stations of a shelf; a shelf without the file has none. A damaged file is a problem."""
    path = shelf / FILE
    if not path.is_file():
        return _NONE
    try:
        return unpacked(path.read_bytes())
    except ValueError as error:
        problems.add(Where(f"{SHELF}{FILE}"), str(error), "install firmripe again")
        return _NONE


def packed(stations: Stations) -> bytes:
    """Return stations as the bytes of the file."""
    tenths = np.rint(stations.usual_c * _TENTHS).astype(int)
    low, range_ = tenths[:, :MONTHS], tenths[:, MONTHS:] - tenths[:, :MONTHS]
    columns = [
        *(np.rint(degrees * _DEGREES) for degrees in (stations.latitude, stations.longitude)),
        np.rint(stations.height_m),
        *np.diff(low, axis=1, prepend=0).T,
        *np.diff(range_, axis=1, prepend=0).T,
        np.rint(stations.error.scale * _THOUSANDTHS),
        np.rint(stations.error.covariance * _THOUSANDTHS).ravel(),
    ]
    body = b"".join(column.astype(_WHOLE).tobytes() for column in columns) + "\n".join(stations.names).encode()
    head = f"{_KIND}\n{stations.period}\n{' '.join(stations.sources)}\n{len(stations)}\n\n"
    return head.encode("ascii") + zlib.compress(body, 9)


@lru_cache(maxsize=2)
def unpacked(data: bytes) -> Stations:
    """Return the stations of the bytes of the file, the same ones again for the same bytes.

    Raises ValueError where they are not such a file.
    """
    head, _, stream = data.partition(b"\n\n")
    lines = head.decode("ascii", "replace").split("\n")
    if len(lines) != 4 or lines[0] != _KIND or not lines[3].isdecimal():
        raise ValueError(f"{FILE} is no table of stations")
    count = int(lines[3])
    try:
        body = zlib.decompress(stream)
        numbers = np.frombuffer(body, _WHOLE, (3 + VALUES) * count + _COEFFICIENTS + VALUES**2)
        names = tuple(body[numbers.nbytes :].decode().split("\n"))
    except (zlib.error, ValueError) as error:
        raise ValueError(f"{FILE} is damaged") from error
    if len(names) != count:
        raise ValueError(f"{FILE} is damaged")
    return _stations(lines, names, numbers)


def _stations(head: list[str], names: tuple[str, ...], numbers: NDArray[np.int16]) -> Stations:
    count = len(names)
    by_column = numbers[: (3 + VALUES) * count].reshape(3 + VALUES, count)
    low = np.cumsum(by_column[3 : 3 + MONTHS], axis=0, dtype=int)
    high = low + np.cumsum(by_column[3 + MONTHS :], axis=0, dtype=int)
    usual: Floats = np.concatenate((low, high)).T / _TENTHS
    rest = numbers[(3 + VALUES) * count :] / _THOUSANDTHS
    return Stations(
        period=head[1],
        sources=tuple(head[2].split()),
        names=names,
        latitude=by_column[0] / _DEGREES,
        longitude=by_column[1] / _DEGREES,
        height_m=by_column[2].astype(float),
        usual_c=np.ascontiguousarray(usual),
        error=StationError(scale=rest[:_COEFFICIENTS], covariance=rest[_COEFFICIENTS:].reshape(VALUES, VALUES)),
    )
