"""A PDF file (ISO 32000-1) as numbered objects and the table that finds them."""

from __future__ import annotations

import zlib


class PdfFile:
    """Objects in the order they were given; the same objects give the same bytes."""

    def __init__(self) -> None:
        """No object yet."""
        self._objects: list[bytes] = []

    def reserve(self) -> int:
        """A number whose object comes later."""
        self._objects.append(b"")
        return len(self._objects)

    def put(self, number: int, content: str | bytes) -> None:
        """The object of a number."""
        self._objects[number - 1] = content.encode() if isinstance(content, str) else content

    def add(self, content: str | bytes) -> int:
        """A further object."""
        number = self.reserve()
        self.put(number, content)
        return number

    def stream(self, data: bytes) -> int:
        """A stream, to be packed."""
        return self.packed(zlib.compress(data, 9), "")

    def packed(self, data: bytes, about: str) -> int:
        """A stream that is packed already (zlib), with further entries of its dictionary."""
        head = f"<< /Filter /FlateDecode /Length {len(data)} {about} >>\nstream\n".encode()
        return self.add(head + data + b"\nendstream")

    def bytes(self, catalog: int, info: int, version: str = "1.4") -> bytes:
        """The file, whose root is the object `catalog`."""
        out = bytearray(f"%PDF-{version}\n".encode() + b"%\xe2\xe3\xcf\xd3\n")
        places = []
        for number, content in enumerate(self._objects, 1):
            places.append(len(out))
            out += f"{number} 0 obj\n".encode() + content + b"\nendobj\n"
        start = len(out)
        out += f"xref\n0 {len(places) + 1}\n0000000000 65535 f \n".encode()
        out += "".join(f"{place:010d} 00000 n \n" for place in places).encode()
        trailer = f"<< /Size {len(places) + 1} /Root {catalog} 0 R /Info {info} 0 R >>"
        return bytes(out) + f"trailer\n{trailer}\nstartxref\n{start}\n%%EOF\n".encode()


def pdf_text(words: str) -> str:
    """A text string of a dictionary, such as a title, in UTF-16."""
    return f"<feff{words.encode('utf-16-be').hex()}>"
