"""Photos: whatever a phone sends becomes one upright JPEG without its place, kept once, or a sentence."""

import stat
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from uuid import UUID, uuid4

import pillow_heif
import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import ExifTags, Image

from tests.conftest import entry, log_in, set_clock
from tests.web.phone_rows import fact, row, send, word
from tests.work.conftest import NOW
from yardwright.cli import main
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.web import photo_folder, pictures
from yardwright.web.pictures import MOST_BYTES, MOST_PIXELS, SMALL_BYTES, picture
from yardwright.work import put_backs, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person, Yard
from yardwright.yard.refused import Refused

RED, BLUE = (200, 30, 30), (30, 30, 200)
GPS = {
    ExifTags.GPS.GPSLatitudeRef: "N",
    ExifTags.GPS.GPSLatitude: (43.0, 39.0, 36.0),
    ExifTags.GPS.GPSLongitudeRef: "W",
    ExifTags.GPS.GPSLongitude: (70.0, 14.0, 24.0),
}


@pytest.fixture(autouse=True)
def home(tmp_path: Path, settings: LazySettings) -> Path:
    settings.HOME = tmp_path
    return tmp_path


def exif(orientation: int = 1) -> bytes:
    """What a camera writes: its maker, how it was held, where it was."""
    said = Image.Exif()
    said[ExifTags.Base.Make] = "Camera Maker"
    said[ExifTags.Base.Orientation] = orientation
    said[ExifTags.IFD.GPSInfo] = GPS
    return said.tobytes()


def scene(size: tuple[int, int] = (64, 48)) -> Image.Image:
    """Red to the left, blue to the right."""
    image = Image.new("RGB", size, BLUE)
    image.paste(RED, (0, 0, size[0] // 2, size[1]))
    return image


def written(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def opened(content: bytes) -> Image.Image:
    image = Image.open(BytesIO(content))
    image.load()
    return image


def is_near(pixel: object, colour: tuple[int, int, int]) -> bool:
    assert isinstance(pixel, tuple)
    return all(abs(one - other) < 40 for one, other in zip(pixel, colour, strict=True))


def heic(image: Image.Image, **options: object) -> bytes:
    out = BytesIO()
    pillow_heif.from_pillow(image).save(out, quality=90, **options)
    return out.getvalue()


# --- the picture


def test_place_and_all_else_a_camera_wrote_are_gone() -> None:
    given = written(scene(), exif=exif(), comment=b"from Ines")
    assert opened(given).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    made = picture(given)
    for content in (made.jpeg, made.small):
        kept = opened(content)
        assert dict(kept.getexif()) == {}
        assert kept.getexif().get_ifd(ExifTags.IFD.GPSInfo) == {}
        for said in (b"Exif", b"Camera Maker", b"Ines"):
            assert said not in content


def test_the_place_alone_is_kept_where_the_yard_wants_it() -> None:
    made = picture(written(scene(), exif=exif(6)), keep_place=True)
    kept = opened(made.jpeg).getexif()
    assert kept.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] == (43.0, 39.0, 36.0)
    assert set(kept) == {ExifTags.IFD.GPSInfo}
    assert dict(opened(made.small).getexif()) == {}
    assert dict(opened(picture(written(scene()), keep_place=True).jpeg).getexif()) == {}


# EXIF 2.32, tag 0x0112: which side of the scene the first row and the first column are.
@pytest.mark.parametrize(
    ("orientation", "first_is_top"), [(1, False), (3, False), (6, True), (8, False)]
)
def test_it_stands_upright(orientation: int, first_is_top: bool) -> None:
    made = opened(picture(written(scene(), exif=exif(orientation))).jpeg)
    turned = orientation in (6, 8)
    assert made.size == ((48, 64) if turned else (64, 48))
    first = made.getpixel((24, 4) if turned else (4, 24))
    red_first = first_is_top if turned else orientation == 1
    assert is_near(first, RED if red_first else BLUE)


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "JPEG"])
def test_other_kinds_become_a_jpeg(kind: str) -> None:
    made = picture(written(scene(), kind))
    assert made.jpeg.startswith(b"\xff\xd8\xff")
    assert is_near(opened(made.jpeg).getpixel((8, 20)), RED)


def test_a_heic_is_decoded_and_loses_its_place() -> None:
    given = heic(scene(), exif=exif())
    assert b"Camera Maker" in given
    made = picture(given)
    assert is_near(opened(made.jpeg).getpixel((8, 20)), RED)
    assert dict(opened(made.jpeg).getexif()) == {}


def test_what_can_be_seen_through_is_white() -> None:
    made = picture(written(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG"))
    assert is_near(opened(made.jpeg).getpixel((9, 9)), (255, 255, 255))


def test_it_is_shrunk_and_its_small_twin_is_light() -> None:
    noise = Image.effect_noise((4000, 3000), 120).convert("RGB")
    made = picture(written(noise, quality=95))
    assert (made.width, made.height) == opened(made.jpeg).size == (1600, 1200)
    assert opened(made.small).size == (320, 240)
    assert len(made.small) <= SMALL_BYTES


@pytest.mark.parametrize(
    "given",
    [b"", b"%PDF-1.7", b"GIF89a" + bytes(40), written(scene())[:300], heic(scene())[:-200]],
    ids=["nothing", "pdf", "gif", "half a jpeg", "half a heic"],
)
def test_what_is_no_picture_is_refused_in_a_sentence(given: bytes) -> None:
    with pytest.raises(Refused, match=r"This is no picture, or a damaged one\. Take a JPEG"):
        picture(given)


def test_a_bomb_is_refused_before_it_is_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    wide = Image.new("1", (10_000, MOST_PIXELS // 10_000 + 1))
    given = written(wide, "PNG")
    assert len(given) < 100_000
    monkeypatch.setattr(pictures, "_shrunk", lambda _: pytest.fail("it was decoded"))
    with pytest.raises(Refused, match="60 million pixels"):
        picture(given)
    vast = written(Image.new("1", (20_000, 10_000)), "PNG")
    with pytest.raises(Refused, match="far too large"):
        picture(vast)


@pytest.mark.parametrize(("at", "byte"), [(41, 1), (43, 5), (43, 12)])
def test_one_wrong_byte_in_what_the_camera_wrote_is_refused_too(at: int, byte: int) -> None:
    given = bytearray(written(scene(), exif=exif(6)))
    given[at] = byte  # the kind of a field: Pillow breaks over each in another way
    with pytest.raises(Refused, match="a damaged one"):
        picture(bytes(given))


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "LA", "P", "L"])
def test_it_is_shrunk_before_it_is_copied(mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[tuple[int, int]] = []

    def on_white(image: Image.Image) -> Image.Image:
        seen.append(image.size)
        return image.convert("RGB")

    monkeypatch.setattr(pictures, "_on_white", on_white)
    picture(written(Image.new(mode, (4000, 3000)), "PNG"))
    assert seen == [(1600, 1200)]


def test_a_file_too_large_is_refused() -> None:
    with pytest.raises(Refused, match=r"has 25 MB\. Send at most 25 MB"):
        picture(bytes(MOST_BYTES + 1))


# --- the phone's photo


@pytest.fixture
def ines(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def client_of_ines(ines: Person, as_person: Callable[[Person], Client]) -> Client:
    return as_person(ines)


def plug_out(boat: Boat) -> Fact:
    return next(left.fact for left in put_backs.left_undone(boat) if "plug" in left.thing.what)


def post(
    client: Client,
    of: UUID | str,
    by: Person,
    content: bytes | None = None,
    uuid: UUID | None = None,
    *,
    ago: timedelta = timedelta(0),
    slow: timedelta = timedelta(0),
) -> tuple[str, str, int]:
    """The word, the sentence and the status of the answer."""
    uuid, now = uuid or uuid4(), datetime.now(UTC) - slow
    told = {
        "photo": SimpleUploadedFile("photo", written(scene()) if content is None else content),
        "entry": str(of),
        "boat": "TEA",
        "person": by.pk,
        "made_at": (now - ago).isoformat(),
        "sent_at": now.isoformat(),
    }
    answer = client.post(f"/phone/photos/{uuid}/", told)
    said = answer.json()["answers"][str(uuid)]
    return said["word"], said["says"], answer.status_code


def photos() -> list[Fact]:
    return list(Fact.objects.filter(kind=Kind.PHOTO).order_by("received_at"))


def test_it_is_held_beside_its_entry(
    client_of_ines: Client, ines: Person, teal: Boat, home: Path
) -> None:
    undone, uuid = plug_out(teal), uuid4()
    word_, says, status = post(client_of_ines, undone.pk, ines, uuid=uuid, ago=timedelta(minutes=9))
    assert (word_, status) == ("held", 200)
    assert says == f"Photo of {undone.what}."
    (photo,) = photos()
    assert (photo.pk, photo.of, photo.by, photo.boat) == (uuid, undone, ines, teal)
    assert timedelta(minutes=8) < photo.received_at - photo.done_at < timedelta(minutes=10)
    file = photo_folder.path_of(home, photo.body["sha256"])
    assert file.read_bytes().startswith(b"\xff\xd8\xff")
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert file.parent == home / "photos" / photo.body["sha256"][:2]
    assert not [*home.rglob("*.new")]


def test_a_repeat_is_held_before_and_another_under_its_number_is_not(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    of, uuid = plug_out(teal).pk, uuid4()
    said = [post(client_of_ines, of, ines, uuid=uuid)[0] for _ in range(2)]
    assert said == ["held", "held before"]
    other = written(scene((40, 40)))
    word_, says, status = post(client_of_ines, of, ines, other, uuid)
    assert (word_, status) == ("refused", 409)
    assert "already used" in says
    assert len(photos()) == 1


def test_a_clock_that_is_off_is_corrected_and_marked(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    post(client_of_ines, plug_out(teal).pk, ines, slow=timedelta(minutes=47))
    (photo,) = photos()
    assert photo.mark == "the phone's clock was 47 min slow; corrected"
    assert abs(photo.done_at - photo.received_at) < timedelta(minutes=1)


def test_without_its_entry_it_hangs_on_the_boat_and_says_so(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    """The entry may come later by another way: then it shows beside it."""
    note = uuid4()
    assert post(client_of_ines, note, ines)[0] == "held"
    (photo,) = photos()
    assert (photo.of, photo.boat) == (None, teal)
    assert photo.mark == "what it was taken of is not here"
    mine = entry(ines)
    services.note(type(mine)(note, ines, mine.done_at), teal, "seal weeps")
    page = client_of_ines.get("/boats/TEA/at-hand/").content.decode()
    assert page.index("seal weeps") < page.index(f"/photos/{photo.pk}-small.jpg")


def test_beside_what_was_kept_aside(client_of_ines: Client, ines: Person, teal: Boat) -> None:
    """Whoever's right ended meanwhile: the entry is kept aside, and so is its photo."""
    one = row(ines, f"/undone/{plug_out(teal).pk}/", deed="holds")
    ines.rights = []
    ines.save()
    assert word(client_of_ines, one) == "marked"
    assert post(client_of_ines, str(one["uuid"]), ines)[0] == "held"
    (photo,) = photos()
    assert photo.of is not None
    assert photo.of.kind == Kind.ASIDE
    mara = log_in("Mara", *Right)
    client_of_ines.force_login(mara.user)  # type: ignore[arg-type]
    aside = f"/kept-aside/{photo.of.pk}/"
    client_of_ines.post(aside, {"uuid": str(uuid4()), "deed": "enter"})
    entered = Fact.objects.get(kind=Kind.PUT_BACK, boat=teal, by=ines)
    page = client_of_ines.get(f"/undone/{entered.of_id}/").content.decode()
    assert f"/photos/{photo.pk}-small.jpg" in page


def test_without_the_right_it_is_refused_with_whom_to_ask(
    client_of_ines: Client, ines: Person, teal: Boat, home: Path
) -> None:
    log_in("Mara", *Right)
    ines.rights = []
    ines.save()
    word_, says, status = post(client_of_ines, plug_out(teal).pk, ines)
    assert (word_, status) == ("refused", 409)
    assert "or Mara." in says
    assert photos() == []
    assert not (home / "photos").exists()


def test_of_another_person_it_stays_on_the_phone(client_of_ines: Client, teal: Boat) -> None:
    olaf = log_in("Olaf", Right.PROVE)
    said = post(client_of_ines, plug_out(teal).pk, olaf)
    assert said == ("not yours", "Log in as Olaf to send this.", 409)
    assert photos() == []


def test_of_somebody_who_left_it_comes_with_whoever_brings_it(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    olaf = log_in("Olaf", Right.PROVE)
    olaf.works_here = False
    olaf.save()
    one = row(olaf, f"/undone/{plug_out(teal).pk}/", deed="holds")
    assert word(client_of_ines, one) == "marked"
    assert post(client_of_ines, str(one["uuid"]), olaf)[0] == "held"
    (photo,) = photos()
    assert (photo.by, photo.second) == (olaf, ines)


def test_a_stranger_is_told_to_log_in(client: Client, ines: Person, teal: Boat) -> None:
    answer = client.post(f"/phone/photos/{uuid4()}/", {"person": ines.pk})
    assert answer.status_code == 401
    assert answer.json() == {"says": "Log in to send what waits."}


def test_another_sites_page_sends_none(client_of_ines: Client, ines: Person) -> None:
    answer = client_of_ines.post(
        f"/phone/photos/{uuid4()}/", {}, headers={"origin": "http://elsewhere.example"}
    )
    assert answer.status_code == 403


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7 a manual"])
def test_no_picture_writes_nothing(
    content: bytes, client_of_ines: Client, ines: Person, teal: Boat, home: Path
) -> None:
    word_, says, status = post(client_of_ines, plug_out(teal).pk, ines, content)
    assert word_ == "refused"
    assert status in (409, 422)
    assert says.endswith(".")
    assert photos() == []
    assert not (home / "photos").exists()


def test_what_is_far_too_large_is_refused_unread(client_of_ines: Client) -> None:
    uuid = uuid4()
    answer = client_of_ines.post(
        f"/phone/photos/{uuid}/", b"", content_type="image/jpeg", CONTENT_LENGTH=str(90_000_000)
    )
    assert answer.status_code == 413
    assert answer.json()["answers"][str(uuid)]["says"] == (
        "This photo has 90 MB. Send at most 25 MB."
    )


# --- where it is seen


def test_it_is_served_for_good_to_whoever_is_logged_in(
    client_of_ines: Client, client: Client, ines: Person, teal: Boat
) -> None:
    undone = plug_out(teal)
    post(client_of_ines, undone.pk, ines)
    (photo,) = photos()
    for path in (f"/photos/{photo.pk}.jpg", f"/photos/{photo.pk}-small.jpg"):
        answer = client_of_ines.get(path)
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
        assert answer.content.startswith(b"\xff\xd8\xff")
    client_of_ines.logout()
    assert client_of_ines.get(f"/photos/{photo.pk}.jpg").status_code == 302


def test_her_pages_show_it_in_words_until_it_is_struck_out(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    undone = plug_out(teal)
    post(client_of_ines, undone.pk, ines)
    (photo,) = photos()
    at = NOW.strftime("%-d %B")
    pages = (
        "/boats/TEA/",
        "/boats/TEA/at-hand/",
        "/boats/TEA/left-undone/",
        "/boats/TEA/record/",
        f"/undone/{undone.pk}/",
        f"/facts/{undone.pk}/",
    )
    small = f"/photos/{photo.pk}-small.jpg"
    for page in pages:
        shown = client_of_ines.get(page).content.decode()
        assert small in shown, page
        assert f'alt="Photo of {undone.what}: Ines, {at} ' in shown, page
    services.strike_out(entry(ines), photo, "the wrong boat")
    for page in pages:
        assert small not in client_of_ines.get(page).content.decode(), page
    assert client_of_ines.get(small).status_code == 404


def test_a_step_in_fall_shows_where_things_lie_in_spring(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    """Taken while the step was done, it stands beside each thing that the step undid."""
    from yardwright.procedures.steps import book

    step = next(one for one in book().steps if "battery" in " ".join(one.opens))
    lies = dict.fromkeys(step.opens, "shelf 3")
    done = services.do_step(entry(ines), teal, step, lies, {})
    post(client_of_ines, done.pk, ines)
    (photo,) = photos()
    page = client_of_ines.get("/boats/TEA/at-hand/").content.decode()
    mine = [one for one in put_backs.left_undone(teal) if one.thing.lies == "shelf 3"]
    assert mine
    for left in mine:
        part = page[page.index(f'id="u-{left.uuid}"') :]
        assert f"/photos/{photo.pk}-small.jpg" in part[: part.index("</details>")]


def test_plain_forms_take_several_and_say_which_not(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    path = f"/facts/{plug_out(teal).pk}/photos/"
    sent = [
        SimpleUploadedFile("a.jpg", written(scene())),
        SimpleUploadedFile("b.txt", b"no picture"),
        SimpleUploadedFile("c.png", written(scene((30, 30)), "PNG")),
    ]
    answer = client_of_ines.post(path, {"photo": sent})
    assert answer.status_code == 422
    assert "b.txt: This is no picture" in answer.content.decode()
    assert len(photos()) == 2
    for file in sent:
        file.seek(0)
    client_of_ines.post(path, {"photo": sent[:1]})
    assert len(photos()) == 2
    assert client_of_ines.post(path, {}).status_code == 422


def test_a_plain_form_far_too_large_is_refused_unread(client_of_ines: Client, teal: Boat) -> None:
    answer = client_of_ines.post(
        f"/facts/{plug_out(teal).pk}/photos/",
        b"",
        content_type="multipart/form-data; boundary=none",
        CONTENT_LENGTH=str(900_000_000),
    )
    assert answer.status_code == 413
    assert "That is 900 MB at once. Send fewer photos." in answer.content.decode()


def test_a_photo_that_was_struck_out_is_not_called_kept(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    path = f"/facts/{plug_out(teal).pk}/photos/"
    client_of_ines.post(path, {"photo": SimpleUploadedFile("a.jpg", written(scene()))})
    services.strike_out(entry(ines), photos()[0], "the wrong boat")
    again = client_of_ines.post(path, {"photo": SimpleUploadedFile("a.jpg", written(scene()))})
    assert again.status_code == 422
    assert "a.jpg: This photo is struck out. Take another one." in again.content.decode()


def test_the_yard_says_whether_places_are_kept(
    client_of_ines: Client, ines: Person, teal: Boat, home: Path
) -> None:
    Yard.objects.update(photo_place=True)
    given = written(scene(), exif=exif())
    post(client_of_ines, plug_out(teal).pk, ines, given)
    Yard.objects.update(photo_place=False)
    post(client_of_ines, plug_out(teal).pk, ines, given)
    kept = [photo_folder.path_of(home, one.body["sha256"]).read_bytes() for one in photos()]
    assert [bool(opened(one).getexif().get_ifd(ExifTags.IFD.GPSInfo)) for one in kept] == [
        True,
        False,
    ]


# --- kept and brought back


def test_photos_are_kept_and_brought_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from tests.web.test_keep import yard_at

    home = yard_at(tmp_path / "yard", "plug out")
    sha = photo_folder.put(home, picture(written(scene())))
    spoilt = photo_folder.put(home, picture(written(scene((90, 90)))))
    photo_folder.path_of(home, spoilt).write_bytes(b"the disk had a bad day")
    assert main(["keep", "--home", str(home)]) == 0
    told = capsys.readouterr().out
    assert "1 photo" in told
    assert spoilt[:8] in told
    kept = photo_folder.path_of(home / "kept", sha)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    for file in (home / "photos").rglob("*.jpg"):
        file.unlink()
    (copy,) = (home / "kept").glob("*-by-hand.sqlite3")
    assert main(["bring-back", str(copy), "--home", str(home)]) == 0
    back = photo_folder.path_of(home, sha)
    assert back.read_bytes() == kept.read_bytes()
    assert photo_folder.path_of(home, sha, small=True).exists()


# --- notes


def test_a_note_is_read_on_her_pages(client_of_ines: Client, ines: Person, teal: Boat) -> None:
    about = plug_out(teal).what
    one = row(ines, "/boats/TEA/note/", words="thread is worn", about=about)
    other = row(ines, "/boats/TEA/note/", words="ask the owner about the radio")
    assert [told["word"] for told in send(client_of_ines, one, other).values()] == ["held"] * 2
    assert fact(one).body == {"words": "thread is worn"}
    assert fact(one).what == about
    for page in ("", "at-hand/", "left-undone/", "record/"):
        shown = client_of_ines.get(f"/boats/TEA/{page}").content.decode()
        assert "thread is worn" in shown, page
        assert "ask the owner about the radio" in shown, page


@pytest.mark.parametrize(
    ("typed", "says"),
    [("", "Nothing is written"), (" \n ", "Nothing is written"), ("x" * 1001, "1000")],
)
def test_a_note_that_is_empty_or_too_long(
    typed: str, says: str, client_of_ines: Client, teal: Boat
) -> None:
    told = {"uuid": str(uuid4()), "words": typed}
    answer = client_of_ines.post("/boats/TEA/note/", told)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Fact.objects.filter(kind=Kind.NOTE).exists()


def test_a_note_without_the_right_keeps_what_was_typed(
    client_of_ines: Client, ines: Person, teal: Boat
) -> None:
    ines.rights = []
    ines.save()
    answer = client_of_ines.post("/boats/TEA/note/", {"uuid": str(uuid4()), "words": "weeps"})
    assert answer.status_code == 409
    assert "weeps" in answer.content.decode()


def test_a_note_repeated_is_one(client_of_ines: Client, teal: Boat) -> None:
    told = {"uuid": str(uuid4()), "words": "weeps"}
    for _ in range(2):
        assert client_of_ines.post("/boats/TEA/note/", told).status_code == 302
    assert Fact.objects.filter(kind=Kind.NOTE).count() == 1
