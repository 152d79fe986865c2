"""A small household that uses every kind of file, and the ways in which its files are spoilt."""

from __future__ import annotations

import base64
import random
import re
import shutil
from pathlib import Path

import every_key

Files = dict[str, bytes | None]
"""What lies in a folder by its path; None is a folder, and `-> ` at the start of the bytes a link."""

LINK = b"-> "
_WEATHER = "date,tmin_f,tmax_f\n" + "".join(
    f"2027-0{1 + n // 28}-{1 + n % 28:02},{30 + n % 9},{50 + n % 13}\n" for n in range(140)
)
SMALL: dict[str, str] = {
    "place.md": (
        "---\nname: Slate Stile\nzone: 6b\nzone map: 2023\nlatitude: 42.3 N\nlongitude: 74.2 W\nelevation: 2,150 ft\n"
        "units: US\nweek starts: Monday\nlast frost: May 14\nfirst frost: Oct 8\n"
        "usual picks:\n  - {cultivar: Bartlett, pick: Aug 31}\n"
        "spaces:\n  - {name: cellar, temperature: 46 F, holds: 24 boxes}\n"
        'kitchens: [{name: upper kitchen, elevation: "2,150 ft"}]\npeople: [{name: Maud, does: [picking, watch]}]\n'
        "canners: [{name: big pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: upper kitchen, away: Sep 3}]\n"
        "kitchen days: [{on: Saturday, during: Aug 20 - Oct 20, start: 9:00, hours: 5, hands: 2, kitchen: upper kitchen}]\n"
        "stock: {jars: [12 quarts], lids: 10, freezer: 2 cubic feet}\n"
        "to put up: [{preserve: Butter, amount: 6 pints}, {preserve: Pear halves in jars, amount: 14 quarts}]\n"
        "site address: https://fruit.example.org/\n---\nThree households keep this *slope*.\n"
    ),
    "trees/1-01.md": (
        "---\ntree: 1-01\ncultivar: Bartlett\nwhere: row 1\nwalk: 1\ncount: 2\nplanted: 2010\nbears from: 2014\n"
        "kept by: Maud\ndays from bloom: 115-120 days\npinned: [{pick: 2027-09-01, because: away}]\n---\nBy the gate.\n"
    ),
    "trees/gate-pear.md": "---\ncultivar: Gate Pear\nfruit: pear\n---\n# Old\n\n- one\n- two\n",
    "trees/family.md": "---\nlimbs: [Bartlett, Bosc]\n---\n| a | b |\n|---|---|\n| 1 | 2 |\n",
    "trees/fig.md": "---\ncultivar: Brown Turkey\n---\n",
    "cultivars/bosc.md": (
        "---\ncounter: 5-7 days\nkeeps: 60 days\nwindows: [{pick: Sep 12, place: here}]\nuses: [drying]\n"
        "signs: [{touch: gives at the neck}]\ncautions: [mind the wasps]\n---\nOurs are late.\n"
    ),
    "cultivars/bartlett.md": "---\ncounter: 5-7 days\nyield: 60-90 lb\n---\n",
    "cultivars/stile.md": "---\nname: Stile\nfruit: european-pear\noffset: {from: bartlett, value: 14 days after}\n---\n",
    "fruits/quince.md": "---\nname: Quince\nwindows: [{pick: Oct 5 - Oct 20, zone: 6b}]\nripens off the tree: partly\n---\n",
    "tasks/prune.md": (
        "---\nname: Prune\ntopic: orchard\nwhen: Mar 1\nuntil: Mar 31\nevery: 1 week\neach: place\nreminder: yes\n"
        "why: [air]\nbring: [saw]\nwho: pruning\n---\n"
    ),
    "tasks/look.md": "---\nname: Look\nwhen: 2 weeks before earliest pick\nuntil: pick\nfor: [Bartlett]\nonly if: bears\n---\n",
    "preserves/butter.md": "---\nname: Butter\nfruits: [european-pear]\nmethod: freezer\nstage: ripe\nkeeps: 6 months\n"
    "takes: 5 lb for 4 pints\nhands: 15 minutes a pint\n---\n",
    "records/2026.csv": (
        "date,tree,cultivar,crop,what,amount,note\n2026-05-04,1-01,,,full bloom,,\n2026-08-27,1-01,,,first pick,44 lb,good\n"
        "about 2026-05-06,gate-pear,,,full bloom,,\n2026,fig,,,no crop,,\n2026-08-25,1-01,,,firmness,16.2 lbf,\n"
    ),
    "records/2027.csv": (
        "date,tree,cultivar,crop,what,amount,note\n2027-05-02,1-01,,,full bloom,,\n2027-05-12,,,,frost,,\n"
        '2027-06-01,1-01,,,spray,14 days,"soap, thin"\n2027-05-08,family,Bosc,,full bloom,,\n'
    ),
    "weather/2027.csv": _WEATHER,
    "feeds.ledger": (
        "# Format 1: what the calendar feeds last said. Written by the build; keep it with the notes.\n# ours\n"
        "a\tgone\t2708\t2027-06-01T00:00:00Z\t2027\t2027-08-28\t2027-08-30\tPick\tmore\n"
        "b\t1f\t2500\t2026-11-05T00:00:00Z\t0\t2026-11-05\t-\t-\n"
    ),
}
WORDS = (
    "", " ", "-", "---", "...", "null", "yes", "no", "0", "-1", "1e309", "nan", "99999999999999999999", "0x10", "2027", "2027-02-30",
    "03/04/2027", "2027-13-01", "0000-01-01", "9999-12-31", "29 Feb", "Feb 29", "Dec 31 - Jan 3", "mid-August", "about 2027-05-01",
    "38 C", "38 F", "-40 F", "2,150", "655 m", "90 S", "90 N", "-90", "0 days", "1000000 days", "1-99999 months", "13b", "1a", "14",
    "'", '"', "`", "{", "}", "[", "]", "{}", "[]", "[[[[[[[[[[", "&a", "*a", "!!python/object:os.system", "%TAG", "|", ">", "? ", ": ",
    "# ", "\t", "\r", "\n", "\x00", "\x07", "\x1b[31m", "\x85", "\u2028", "\ufeff", "\ufffe", "\U0001f350", "e\u0301", "ﬁg", "İ", "ß",
    "<script>alert(1)</script>", "{{ 7*7 }}", "{% raw %}", "../../x", "/etc/passwd", "C:\\x", "CON", "a" * 300, "9" * 300, ",", ",,,,,,", ";",
    "=1+1", "first bloom", "pick", "removed", "spray", "full bloom", "1-01", "fig", "Bartlett", "unknown", "pear", "main", "breba", "here",
    "every 2 days, Dec 6 - Jan 21", "every 1 day, Jan 1 - Dec 31", "half a bushel a week", "1/5", "20 %", "1-01..2-01", "row 1", "gap",
    "14 quarts from 35 lb by 2 in 3 hours", "brown at the core, picked late", "never softened", "up and down", "3 of 7", "very early",
    "canning", "used up", "sold", "verdict", "lost", "left", "taken out", "Jul 1", "here", "partly", "36-50 F before ripe", "[]", "{a: b}",
    "private: x", "../gate.png", "gate.png", "2 lbf a day", "3 days after", "es", "metric", "north", "look", "Maud", "everybody", "13:00",
    "bartlett", "stile", "european-pear", "every: 1 day", "when: ready", "until: keep until", "mark: R", "source: memory", "crop: main",
)  # fmt: skip


_PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg=="
)


def seed() -> Files:
    """Return the small household as bytes."""
    return {name: text.encode() for name, text in SMALL.items()}


def full_seed() -> Files:
    """Return the household of every key as bytes, with a photo, and with weather and a ledger of the small one."""
    told = {name: text.encode() for name, text in every_key.household().items()}
    beside = {name: SMALL[name].encode() for name in ("weather/2027.csv", "feeds.ledger")}
    return {**told, **beside, f"photos/{every_key.PHOTO}": _PICTURE}


def spoilt(files: Files, draw: random.Random) -> Files:
    """Return the files with one to five things done to them."""
    made = dict(files)
    for _ in range(draw.choice((1, 1, 1, 2, 3, 5))):
        if made:
            draw.choice(_WAYS)(made, draw)
    return made


def write(top: Path, files: Files) -> None:
    """Write the files; what can't be written is left out."""
    shutil.rmtree(top, ignore_errors=True)
    top.mkdir(parents=True)
    for name, data in files.items():
        path = top / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            if data is None:
                path.mkdir()
            elif data.startswith(LINK):
                path.symlink_to(data[3:].decode("utf-8", "replace"))
            else:
                path.write_bytes(data)
        except (OSError, ValueError):
            continue


def _text(files: Files, draw: random.Random) -> tuple[str, bytes]:
    name = draw.choice(sorted(files))
    return name, files[name] or b""


def _word(draw: random.Random) -> bytes:
    return draw.choice(WORDS).encode("utf-8", "surrogatepass")


def _insert(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    at = draw.randint(0, len(data))
    files[name] = data[:at] + _word(draw) + data[at:]


def _cut(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    first = draw.randint(0, len(data))
    files[name] = data[:first] + data[first + draw.randint(1, 40) :]


def _flip(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    if data:
        at = draw.randrange(len(data))
        files[name] = data[:at] + bytes([draw.randrange(256)]) + data[at + 1 :]


def _value(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    lines = data.split(b"\n")
    at = draw.randrange(len(lines))
    sign = b"," if name.endswith(".csv") else b"\t" if name.endswith(".ledger") else b": "
    parts = lines[at].split(sign)
    parts[draw.randrange(len(parts))] = _word(draw)
    files[name] = b"\n".join([*lines[:at], sign.join(parts), *lines[at + 1 :]])


def _inner_value(files: Files, draw: random.Random) -> None:
    """Put another value behind one key, also of a table within a line: a word, or the value of another key."""
    name, data = _text(files, draw)
    _, other = _text(files, draw)
    found, donors = list(_KEYED.finditer(data)), _KEYED.findall(other)
    if found:
        place = draw.choice(found)
        value = draw.choice(donors)[1] if donors and draw.random() < 0.5 else _word(draw)
        files[name] = data[: place.start(2)] + value + data[place.end(2) :]


def _drop_key(files: Files, draw: random.Random) -> None:
    """Take out one key with its value, also of a table within a line."""
    name, data = _text(files, draw)
    found = list(_KEYED.finditer(data))
    if found:
        place = draw.choice(found)
        files[name] = data[: place.start()] + data[place.end() :].removeprefix(b", ")


def _double(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    lines = data.split(b"\n")
    line = draw.choice(lines)
    lines.insert(draw.randint(0, len(lines)), line)
    files[name] = b"\n".join(lines)


def _drop_line(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    lines = data.split(b"\n")
    del lines[draw.randrange(len(lines))]
    files[name] = b"\n".join(lines)


def _splice(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    _, other = _text(files, draw)
    lines = other.split(b"\n")
    files[name] = data + b"\n" + b"\n".join(lines[draw.randrange(len(lines)) :])


def _many(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    at = draw.randint(0, len(data))
    files[name] = data[:at] + _word(draw) * draw.choice((10, 300, 5000)) + data[at:]


def _encode(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    text = data.decode("utf-8", "replace")
    files[name] = text.encode(draw.choice(("utf-16", "utf-8-sig", "utf-32", "cp500")), "replace")


def _rename(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    del files[name]
    folder, _, last = name.rpartition("/")
    stem = draw.choice(
        (
            last.upper(),
            last + ".txt",
            "é" + last,
            "x.md",
            "x.csv",
            ".hidden.md",
            "a b & c.md",
            "-.md",
            "🍐.md",
            last * 3,
        )
    )
    files[f"{draw.choice((folder, 'trees', 'tasks', 'records', 'Trees', 'site', '.'))}/{stem}"] = data


def _copy(files: Files, draw: random.Random) -> None:
    name, data = _text(files, draw)
    folder, _, last = name.rpartition("/")
    files[f"{folder or 'trees'}/{draw.choice((last.upper(), 'copy-' + last, last.replace('1', '¹')))}"] = data


def _another_kind(files: Files, draw: random.Random) -> None:
    name, _ = _text(files, draw)
    files[name] = draw.choice((None, b"", LINK + b"/etc/hostname", LINK + b"nowhere", LINK + name.encode(), b"\n\n\n"))


def _take_away(files: Files, draw: random.Random) -> None:
    del files[draw.choice(sorted(files))]


_KEYED = re.compile(rb'([a-z][a-zA-Z ]*): ("[^"\n]*"|\[[^\]\n]*\]|\{[^}\n]*\}|[^,{}\[\]\n]+)')
"""A key of front matter and its value, a list or a table within the line included."""
_WAYS = (
    _inner_value, _inner_value, _inner_value, _drop_key, _drop_key,
    _insert, _insert, _insert, _cut, _cut, _flip, _value, _value, _value, _value, _double, _drop_line, _drop_line,
    _splice, _many, _encode, _rename, _copy, _another_kind, _take_away,
)  # fmt: skip
