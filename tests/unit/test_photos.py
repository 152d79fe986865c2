"""Photos of the household: made small, stripped of what a camera wrote, private where told, refused in clear words."""

from __future__ import annotations

import io
import os
import re
import sys
from datetime import date
from pathlib import Path

import pytest
from one_tree import NOTES
from PIL import Image
from season_notes import note, read

from firmripe.holding.holding import Holding
from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.audience import plan_for
from firmripe.publish.site import make_site
from firmripe.reading import pictures
from firmripe.reading.pictures import small
from firmripe.shipped import theme_folder

DAY = date(2027, 8, 28)
CAMERA = "Wrenbox 9"
PRIVATE_ALT = 'photos: [{file: fruit.jpg, alt: "private: our fruit"}]'
TREES = {
    "trees/A.md": note(
        "cultivar: Hardpear",
        "photos:",
        "  - {file: pear.jpg, alt: The pear from the gate}",
        "  - {file: people.png, alt: All of us, private: yes}",
    ),
    "trees/B.md": note("cultivar: Hardpear", "private: yes", "photos: [{file: hidden.webp, alt: The hidden one}]"),
    "cultivars/hardpear.md": NOTES["cultivars/hardpear.md"].replace("---\n", f"---\n{PRIVATE_ALT}\n", 1),
}


def picture(kind: str, size: tuple[int, int] = (1600, 1200), color: str = "olive", turned: int = 1) -> bytes:
    """Return a picture as a camera makes it: with place, model, comment and how it was held."""
    image = Image.new("RGB", size, color)
    exif = Image.Exif()
    exif[0x0110], exif[0x0112] = CAMERA, turned  # model and orientation, by memory of the Exif standard (CIPA DC-008)
    exif.get_ifd(0x8825).update({1: "N", 2: (41.0, 52.0, 12.5)})  # place
    made = io.BytesIO()
    more = {"comment": f"by {CAMERA}".encode()} if kind == "JPEG" else {}
    image.save(made, kind, exif=exif, **more)
    return made.getvalue()


def noted(top: Path, photos: dict[str, bytes], *lines: str) -> Holding:
    """Return what is read of one tree whose note has these lines, with photos beside the notes."""
    folder = top / "home" / "photos"
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in photos.items():
        (folder / name).write_bytes(data)
    return read(top, {**NOTES, "trees/A.md": note("cultivar: Hardpear", *lines)})


def fault(top: Path, photos: dict[str, bytes], line: str) -> str:
    """Return what is said of such a note."""
    with pytest.raises(FaultyNotes) as caught:
        noted(top, photos, line)
    return str(caught.value)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of a household with four photos."""
    top = tmp_path_factory.mktemp("photos")
    noted(
        top,
        {
            "pear.jpg": picture("JPEG", turned=6),
            "people.png": picture("PNG", color="navy"),
            "hidden.webp": picture("WEBP", color="red"),
            "fruit.jpg": picture("JPEG", (300, 200), "gold"),
        },
    )
    return make_plan(read(top, {**NOTES, **TREES}), 2027, DAY)


def photos_in(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return the photos of a site."""
    return {name: data for name, data in files.items() if name.startswith("photos/")}


def test_a_photo_is_shown_small_upright_and_bare(plan: Plan) -> None:
    """On its note's page, with what it shows and its size; nothing of the camera's goes on, nor the file's name."""
    files = make_site(plan, theme_folder())
    page = files["trees/a.html"].decode()
    shown = re.findall(r'<img src="../photos/[0-9a-f]{16}.jpg" alt="([^"]+)" width="(\d+)" height="(\d+)"', page)

    assert shown == [("The pear from the gate", "720", "960"), ("All of us", "960", "720")]
    assert len(photos_in(files)) == 4
    for data in photos_in(files).values():
        with Image.open(io.BytesIO(data)) as image:
            assert image.format == "JPEG"
            assert max(image.size) <= pictures.LONGEST_SIDE
            assert not image.getexif()
            assert not {"exif", "comment", "icc_profile", "xmp", "photoshop"} & image.info.keys()
        assert CAMERA.encode() not in data
    for name, data in files.items():
        assert not re.search(rb"pear\.jpg|people\.png|hidden\.webp|fruit\.jpg", data), name


def test_everybody_gets_no_private_photo(plan: Plan) -> None:
    """Neither the picture nor what it shows: one that says so itself, by its alt, or by its note."""
    files = make_site(plan_for(plan, reader_of(plan.holding.place, "everybody")), theme_folder())
    whole = b"".join(files.values())

    (kept,) = photos_in(files)
    assert kept.encode() in whole
    for words in (b"All of us", b"The hidden one", b"our fruit"):
        assert words not in whole


def test_both_themes_show_them(plan: Plan) -> None:
    """With what each shows, under a policy that lets pictures of the site through and no others."""
    for theme in ("box-tag", "plain"):
        page = make_site(plan, theme_folder(theme))["trees/a.html"].decode()
        assert 'alt="The pear from the gate"' in page
        assert "img-src 'self' file:;" in page
        assert b"img-src" not in make_site(plan, theme_folder(theme))["sources.html"]


@pytest.mark.parametrize("theme", ["box-tag", "plain"])
def test_a_page_that_has_a_photo_lets_it_be_seen(tmp_path: Path, theme: str) -> None:
    """Also the page of jobs, which has all of them where there is one tree alone."""
    job = note("name: Work", "when: pick", "photos: [{file: pear.jpg, alt: How it is held}]")
    (tmp_path / "home" / "photos").mkdir(parents=True)
    (tmp_path / "home" / "photos" / "pear.jpg").write_bytes(picture("JPEG"))
    files = make_site(make_plan(read(tmp_path, {**NOTES, "tasks/work.md": job}), 2027, DAY), theme_folder(theme))
    shown = {name: data.decode() for name, data in files.items() if name.endswith(".html") and b"<img" in data}

    assert "How it is held" in shown["jobs.html"]
    assert [name for name, page in shown.items() if "img-src 'self' file:;" not in page] == []


def test_what_is_missing_is_asked_for(tmp_path: Path) -> None:
    """A photo without words is shown and asked about, as is one that no note names."""
    holding = noted(tmp_path, {"a.jpg": picture("JPEG"), "b.jpg": picture("JPEG")}, "photos: a.jpg")

    asked = [problem.message for problem in holding.asked]
    assert 'the photo "a.jpg" has no alt' in asked
    assert "no note names this photo" in asked
    assert "nobody has described" in make_site(make_plan(holding, 2027, DAY), theme_folder())["index.html"].decode()


def test_a_name_is_found_whichever_way_its_accents_are_coded(tmp_path: Path) -> None:
    """Copied from some computers a letter and its accent are two signs, which nobody sees."""
    there, typed = "Bl\u0075\u0308te.jpg", "Bl\u00fcte.jpg"
    holding = noted(tmp_path, {there: picture("JPEG")}, f'photos: {{file: {typed}, alt: "in bloom"}}')
    assert [photo.alt for photo in holding.photos_of("trees", "A")] == ["in bloom"]
    assert "no note names this photo" not in [problem.message for problem in holding.asked]


def test_a_photo_is_made_anew_where_its_file_is_another_of_the_same_size_and_time(tmp_path: Path) -> None:
    """A preview must not go on showing the former one: it is found by what it holds."""
    first, second = picture("JPEG", color="olive"), picture("JPEG", color="navy")
    longest = max(len(first), len(second))
    shown = []
    for data in (first, second):
        path = tmp_path / "a.jpg"
        path.write_bytes(data.ljust(longest, b"\0"))
        os.utime(path, (1, 1))
        shown.append(small(path))
    assert shown[0] != shown[1]
    assert small(path) is shown[1]


def _wide() -> bytes:
    head = picture("PNG", (10, 10))
    return head[:16] + (50_000).to_bytes(4, "big") * 2 + head[24:]


SPOILT = "this can't be read as a picture"


@pytest.mark.parametrize(
    ("name", "data", "said", "hint"),
    [
        ("a.jpg", b"", SPOILT, "save it again as a JPEG"),
        ("a.jpg", picture("JPEG")[:900], SPOILT, ""),
        ("a.jpg", b"GIF89a\x01\x00\x01\x00\x80\x00\x00", SPOILT, ""),
        ("a.png", picture("PNG")[:60] + b"\xff" * 300, SPOILT, ""),
        ("a.png", _wide(), "th", ""),
        ("a.heic", b"\x00\x00\x00\x18ftypheic", "a phone's HEIC picture is not read here", "most compatible"),
        ("a.svg", b"<svg/>", "this is no kind of picture that is read here", "save it as a JPEG, PNG or WebP"),
        ("a.jpg", b"\xff\xd8" + bytes(pictures.LARGEST), "the picture is longer than 25 MB", "save it smaller"),
    ],
    ids=["empty", "cut off", "another kind", "spoilt", "too wide", "heic", "svg", "too long"],
)
def test_a_file_that_is_no_photo_is_refused(tmp_path: Path, name: str, data: bytes, said: str, hint: str) -> None:
    """By the line that names it, with what to do; nothing is unpacked beyond bounds."""
    text = fault(tmp_path, {name: data}, f"photos: [{{file: {name}, alt: x}}]")

    assert text.startswith(f"trees/A.md:3: {said}")
    assert hint in text


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("photos: gone.jpg", 'there is no photo "gone.jpg"'),
        ("photos: ../place.md", 'there is no photo "../place.md"'),
        ("photos: out.jpg", "photos/out.jpg: this link leads out of the notes' folder"),
        ("photos: [{file: a.jpg, alt: x, title: y}]", 'the key "title" is not known'),
        ("photos: [{alt: x}]", "this photo has no file"),
        ("photos: [{file: a.jpg, private: perhaps}]", '"perhaps"'),
    ],
)
def test_a_name_leads_nowhere_else(tmp_path: Path, line: str, said: str) -> None:
    """Only files that lie in the folder are read, and a slip is told by its line."""
    (tmp_path / "out.jpg").write_bytes(picture("JPEG"))
    (tmp_path / "home" / "photos").mkdir(parents=True)
    (tmp_path / "home" / "photos" / "out.jpg").symlink_to(tmp_path / "out.jpg")

    assert fault(tmp_path, {"a.jpg": picture("JPEG")}, line).startswith(f"trees/A.md:3: {said}")


def test_without_pillow_a_clear_word(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line is named, and what to install; a household without photos needs nothing."""
    data = picture("JPEG", (40, 30))
    monkeypatch.setitem(sys.modules, "PIL", None)
    text = fault(tmp_path, {"a.jpg": data}, "photos: [{file: a.jpg, alt: x}]")

    assert text.startswith("trees/A.md:3: photos need Pillow, which is not installed")
    assert "pip install 'firmripe[photos]'" in text
    (tmp_path / "bare").mkdir()
    assert not read(tmp_path / "bare", NOTES).photos
