"""Making the file of a deck the same whenever it is made of the same things."""

import re
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time that an archive can hold, which every member gets."""

_CORE = "docProps/core.xml"
_WORKBOOK = ".xlsx"
_TIME = re.compile(rb"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")


def timeless(package: bytes, made: datetime) -> bytes:
    """
    Take the time of writing out of an Office file and the workbooks in it.

    Parameters
    ----------
    package : bytes
        The file.
    made : datetime
        What it shall say instead in its properties, UTC.

    Returns
    -------
    bytes
        The same members in the same order.
    """
    stamp = made.strftime("%Y-%m-%dT%H:%M:%SZ").encode("ascii")
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, content in _members(package, made):
            member = ZipInfo(name, EPOCH)
            member.compress_type = ZIP_DEFLATED
            told = _TIME.sub(stamp, content) if name == _CORE else content
            archive.writestr(member, told)
    return out.getvalue()


def _members(package: bytes, made: datetime) -> Iterator[tuple[str, bytes]]:
    with ZipFile(BytesIO(package)) as archive:
        for member in archive.infolist():
            content = archive.read(member)
            is_workbook = member.filename.endswith(_WORKBOOK)
            yield member.filename, timeless(content, made) if is_workbook else content
