"""Counting the pages of a PDF without a library for it."""

import re
import zlib

STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
PAGE = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")


def page_count(paper: bytes) -> int:
    """Pages of a PDF, counted by their objects; 0 for anything that is none."""
    if not paper.startswith(b"%PDF-"):
        return 0
    packed = (_unpacked(found.group(1)) for found in STREAM.finditer(paper))
    return len(PAGE.findall(STREAM.sub(b"", paper))) + sum(
        len(PAGE.findall(inner)) for inner in packed if b"/Type" in inner
    )


def _unpacked(stream: bytes) -> bytes:
    """What a compressed stream holds; of any other stream, nothing."""
    try:
        return zlib.decompress(stream)
    except zlib.error:
        return b""
