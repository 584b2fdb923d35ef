"""Good text files spoilt: bytes, lines, values, encodings, ends."""

from __future__ import annotations

from hypothesis import strategies as st

VALUES = (
    b"nan", b"inf", b"-inf", b"1e400", b"-1e308", b"5e-324", b"0", b"-1", b"true", b"false", b'""', b'"x"', b'"nan"', b"[]", b"{}", b"[1, 2, 3]",
    b"[nan]", b"[[[[]]]]", b"{a = 1}", b"{a = {a = {a = {a = 1}}}}", b"[{kind = 'rod'}]", b"1979-05-27", b"07:32:00", b"0x10", b"1_000", b"9" * 20,
    b"9" * 400, b"9" * 5000, b"[" * 3000 + b"]" * 3000, b"{a=" * 2000 + b"1" + b"}" * 2000, b"[" + b"1," * 20_000 + b"]", b'"' + b"y" * 5000 + b'"',
    b'"' + b"y/" * 2000 + b'"', b'"\\u0000"', b'"a\\u0000b.csv"', b'"~nobody-of-this-name/x.csv"', b'"~nobody-of-this-name"', b'"../../../../etc/hostname"',
    b'"."', b'".."', b'"/dev/zero"', b'"/dev/zero.csv"', b'"\\U0001F600"', b'"""a\nb"""', b'"%s{0}@NAME@"', b'"[bold]x[/]"', b'"\\u001b[31m"', b'"\\u2028"',
)  # fmt: skip
LINE_ENDS = (b"\r\n", b"\r", b"\x0b", b"\x0c", b"\x00", "\u2028".encode(), "\u0085".encode(), b"\n\n", b"")
HEADS = (b"\xef\xbb\xbf", b"\xef\xbb\xbf" * 2, b"\x00", b"\xff\xfe", b"#", b"[[", b'"""')
NEW_LINES = (b"[craft]", b"[rotor]", b"[[part]]", b"[part]", b"[a.b.c]", b"a" + b".a" * 3000 + b" = 1", b"[a" + b".a" * 500 + b"]", b'"" = 1', b"= 1", b"x", b"[[rotor]]", b"[change.rotor]\nstation.1.radius_mm = 3",
             b"[change.part.nobody]\nmass_g = 1", b"[change.rotor.radius_mm]\nx = 1", b"[change]\npart = 1", b"[change.craft]\nx = 1", b"change = []")  # fmt: skip


@st.composite
def spoilt(draw: st.DrawFn, text: bytes, times: int = 3) -> bytes:
    """``text`` after one to ``times`` misfortunes."""
    for _ in range(draw(st.integers(1, times))):
        text = draw(st.sampled_from(WAYS))(draw, text)
    return text


def _byte(draw: st.DrawFn, text: bytes) -> bytes:
    at = draw(st.integers(0, max(len(text) - 1, 0)))
    return text[:at] + bytes([draw(st.integers(0, 255))]) + text[at + 1 :]


def _cut(draw: st.DrawFn, text: bytes) -> bytes:
    return text[: draw(st.integers(0, len(text)))]


def _line(draw: st.DrawFn, text: bytes) -> bytes:
    """A line dropped, doubled, moved or put in."""
    lines = text.split(b"\n")
    at, to = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    what = draw(st.sampled_from(("drop", "double", "move", "new")))
    line = draw(st.sampled_from(NEW_LINES)) if what == "new" else lines[at]
    if what in ("drop", "move"):
        del lines[at]
    if what != "drop":
        lines.insert(to, line)
    return b"\n".join(lines)


def _value(draw: st.DrawFn, text: bytes) -> bytes:
    lines = text.split(b"\n")
    those = [k for k, line in enumerate(lines) if b"=" in line and not line.startswith(b"#")]
    if those:
        k = draw(st.sampled_from(those))
        lines[k] = lines[k].split(b"=")[0] + b"= " + draw(st.sampled_from(VALUES))
    return b"\n".join(lines)


def _cell(draw: st.DrawFn, text: bytes) -> bytes:
    """A cell of a csv."""
    lines = text.split(b"\n")
    k = draw(st.integers(0, len(lines) - 1))
    cells = lines[k].split(b",")
    cells[draw(st.integers(0, len(cells) - 1))] = draw(
        st.sampled_from((*VALUES, b'"', b"'", b"1;2", b"1,2", b"z" * 200_000))
    )
    lines[k] = b",".join(cells)
    return b"\n".join(lines)


def _encoding(draw: st.DrawFn, text: bytes) -> bytes:
    return text.decode("utf-8", "replace").encode(draw(st.sampled_from(("utf-16", "utf-16-be", "utf-32"))))


def _ends(draw: st.DrawFn, text: bytes) -> bytes:
    return text.replace(b"\n", draw(st.sampled_from(LINE_ENDS)))


def _head(draw: st.DrawFn, text: bytes) -> bytes:
    return draw(st.sampled_from(HEADS)) + text


def _noise(draw: st.DrawFn, text: bytes) -> bytes:
    return draw(st.binary(max_size=200))


WAYS = (_byte, _byte, _cut, _line, _line, _value, _value, _value, _value, _cell, _encoding, _ends, _head, _noise)
