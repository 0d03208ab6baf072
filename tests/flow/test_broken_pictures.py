"""Everything that can be wrong with a picture gets one sentence, or is taken rightly."""

import importlib
import io
from concurrent.futures import ThreadPoolExecutor

import cv2
import numpy as np
import pytest
from PIL import Image

from buckwright.capture import calibrate, find_corners
from buckwright.errors import FileError, JobError
from buckwright.files import pictureformats
from buckwright.files.photographs import read_picture, read_picture_bytes
from buckwright.flow import Bench, check_shoot, take_pictures
from buckwright.flow.intake import look_at, refusal_findings, sort_looks, usable_corners
from buckwright.geometry.board import inner_corners
from buckwright.model.job import Job
from buckwright.model.mats import printed_mat
from buckwright.model.pictures import Mat
from buckwright.store import JobFile
from mat_pictures import MAT, STANDS, paper, picture, saved, shoot, tags

GOOD = picture(STANDS[1])
WHOLE = saved(GOOD, quality=92)


def shaken(grey, length):
    """Smeared sideways, as by a hand that moved."""
    wide = grey.astype(np.float64)
    return np.mean([np.roll(wide, k, axis=1) for k in range(length)], axis=0).astype(np.uint8)


def animated(kind):
    frames = [Image.fromarray(GOOD), Image.fromarray(GOOD[::-1])]
    out = io.BytesIO()
    frames[0].save(out, kind, save_all=True, append_images=frames[1:])
    return out.getvalue()


def heic(**choices):
    importlib.import_module("pillow_heif").register_heif_opener()
    return saved(GOOD, "HEIF", quality=95, **choices)


def with_alpha():
    alpha = np.full_like(GOOD, 255)
    alpha[:40] = 0
    out = io.BytesIO()
    Image.fromarray(np.dstack([GOOD, GOOD, GOOD, alpha])).save(out, "PNG")
    return out.getvalue()


def sixteen_bits():
    out = io.BytesIO()
    Image.fromarray(GOOD.astype(np.uint16) * 257).save(out, "PNG")
    return out.getvalue()


REFUSED = {
    "empty": (lambda: b"", "is empty"),
    "a text file": (lambda: b"not a picture, a letter\n" * 30, "not a picture"),
    "a PDF": (lambda: b"%PDF-1.7\n" + bytes(2000), "not a picture"),
    "half of a JPEG": (lambda: WHOLE[: len(WHOLE) // 2], "cut short"),
    "a JPEG without its end": (lambda: WHOLE[:-2], "cut short"),
    "half of a PNG": (lambda: saved(GOOD, "PNG")[:9000], "cut short"),
    "half of a HEIC": (lambda: heic()[:3000], "cut short"),
    "one pixel": (lambda: saved(GOOD[:1, :1], "PNG"), "only 1 x 1"),
    "a thumbnail": (lambda: saved(GOOD[::6, ::6]), "only 134 x 100"),
    "30,000 pixels wide": (lambda: saved(np.zeros((250, 30_000), np.uint8)), "absurdly large"),
    "a moving WEBP": (lambda: animated("WEBP"), "moves"),
    "a moving PNG": (lambda: animated("PNG"), "moves"),
    "a moving GIF": (lambda: animated("GIF"), "not a picture that can be read"),
    "black": (lambda: saved(GOOD // 16), "black"),
    "overexposed": (
        lambda: saved(np.minimum(GOOD.astype(int) + 225, 255).astype(np.uint8)),
        "white",
    ),
    "a finger before the lens": (lambda: saved(np.full_like(GOOD, 97)), "one even grey"),
    "out of focus": (lambda: _blurred(9.0), "blurred"),
    "a little out of focus": (lambda: _blurred(4.5), "blurred"),
    "shaken": (lambda: saved(shaken(GOOD, 21)), "blurred"),
    "no mat": (lambda: saved(_bench()), "does not show the mat"),
    "mirrored": (lambda: saved(np.ascontiguousarray(GOOD[:, ::-1])), "mirrored"),
    "a mat printed mirrored": (
        lambda: saved(picture(page=np.ascontiguousarray(paper()[:, ::-1]))),
        "mirrored",
    ),
    "another mat": (
        lambda: saved(picture(page=paper(MAT, first=100), stand=STANDS[5])),
        "another mat",
    ),
    "a mat of another kind": (
        lambda: saved(picture(page=paper(MAT.model_copy(update={"dictionary": "DICT_6X6_250"})))),
        "another mat",
    ),
    "the mat hidden but for a corner": (lambda: saved(_hidden(0.66)), "shows only"),
}


def _blurred(sigma):
    return saved(cv2.GaussianBlur(GOOD, (0, 0), sigma))


def _bench():
    """Planks: sharp edges, no mat."""
    grey = np.full((600, 800), 120, np.uint8)
    grey[:, ::64] = 40
    grey[::180] = 200
    return grey


def _hidden(share):
    """A grey box stands on that share of the picture's width."""
    grey = GOOD.copy()
    grey[:, : int(share * grey.shape[1])] = 128
    return grey


@pytest.mark.parametrize("kind", list(REFUSED))
def test_what_cannot_be_used_is_refused_with_one_sentence(kind):
    make, words = REFUSED[kind]
    look = look_at(("odd.jpg", make(), MAT))
    assert look.corners is None
    assert words in look.refusal.problem
    assert look.refusal.problem.count(". ") == 0
    assert look.refusal.problem.endswith(".")
    assert look.refusal.remedy.endswith(".")


TAKEN = {
    "grey": lambda: saved(GOOD, mode="L"),
    "CMYK": lambda: saved(GOOD, mode="CMYK"),
    "sixteen bits": sixteen_bits,
    "transparent at its edge": with_alpha,
    "a PNG called JPEG": lambda: saved(GOOD, "PNG"),
    "a palette": lambda: saved(GOOD, "PNG", mode="P"),
    "progressive": lambda: saved(GOOD, progressive=True),
    "HEIC": heic,
    "half the mat hidden": lambda: saved(_hidden(0.45)),
    "no EXIF at all": lambda: WHOLE,
    "EXIF that is rubbish": lambda: saved(GOOD, exif=b"Exif\0\0" + b"\xff" * 60),
}


@pytest.mark.parametrize("kind", list(TAKEN))
def test_what_can_be_used_is_taken(kind):
    look = look_at(("odd.jpg", TAKEN[kind](), MAT))
    assert look.refusal is None
    true = find_corners(GOOD, MAT, picture="good")
    common = np.isin(true.ids, look.corners.ids)
    assert common.sum() >= 20
    gap = look.corners.px[np.isin(look.corners.ids, true.ids)] - true.px[common]
    assert np.median(np.linalg.norm(gap, axis=1)) < 0.15


def test_a_mat_upside_down_or_on_its_side_is_the_same_mat():
    turned = [
        (f"t{k}.jpg", saved(picture(s, roll=90.0 * k), quality=92))
        for k, s in enumerate(STANDS[3:])
    ]
    looks, intake = intake_of(turned)
    calibration = calibrate(usable_corners(looks, intake), MAT)
    assert len(calibration.pictures) == len(turned)
    assert calibration.residual_px < 0.2


@pytest.mark.parametrize("way_up", [1, 3, 6, 8])
@pytest.mark.parametrize("kind", ["JPEG", "HEIC"])
def test_a_picture_shown_turned_keeps_the_pixels_of_its_sensor(way_up, kind):
    exif = tags(way_up=way_up)
    data = saved(GOOD, quality=95, exif=exif) if kind == "JPEG" else heic(exif=exif)
    source, grey = read_picture_bytes(data, name="a")
    assert source.size == (800, 600)
    assert np.abs(grey.astype(float) - GOOD).mean() < 3.0
    assert (source.camera, source.focal_mm) == ("Maker, Pocket 7", 4.2)
    assert source.turned == {1: 0, 3: 2, 6: 1, 8: 3}[way_up]


def test_heic_without_its_library_says_what_to_do(monkeypatch):
    data = heic()
    monkeypatch.setattr(pictureformats, "_heic_reader", lambda: False)
    with pytest.raises(FileError, match="library for it is not installed"):
        read_picture_bytes(data, name="a.heic")


def test_a_folder_called_a_picture_is_refused(tmp_path):
    (tmp_path / "a.jpg").mkdir()
    with pytest.raises(FileError, match="cannot be read"):
        read_picture(tmp_path / "a.jpg")


@pytest.fixture(scope="module")
def good():
    """A shoot with nothing wrong, looked at."""
    return [look_at((name, data, MAT)) for name, data in shoot()]


def told(look, **changes):
    """The same look from a file that tells of its camera."""
    source = look.source.model_copy(
        update={"camera": "Maker, Pocket 7", "focal_mm": 4.2, **changes}
    )
    return look._replace(source=source)


def intake_of(pictures, mat=MAT):
    looks = [look_at((name, data, mat)) for name, data in pictures]
    return looks, sort_looks(looks)


def test_a_few_pictures_at_another_zoom_are_refused_by_their_tags(good):
    near = saved(picture(STANDS[2], zoom=1.6), exif=tags(focal=6.7))
    intake = sort_looks([*map(told, good[:5]), look_at(("near.jpg", near, MAT))])
    (refusal,) = intake.refused
    assert refusal.picture == "near.jpg"
    assert "another zoom, 6.7 mm, than the others, 4.2 mm" in refusal.problem
    assert len(intake.accepted) == 5
    assert [len(group.pictures) for group in intake.groups] == [5]


def test_digital_zoom_is_zoom_too(good):
    looks = [*map(told, good[:5]), told(good[5], zoom=2.0)]
    (refusal,) = sort_looks(looks).refused
    assert "4.2 mm x 2" in refusal.problem


def test_mixed_zoom_without_tags_is_told_by_the_pictures_themselves(good):
    near = [look_at((f"near{k}.jpg", saved(picture(STANDS[k], zoom=1.5)), MAT)) for k in (0, 5)]
    looks = [*good, *near]
    intake = sort_looks(looks)
    assert intake.refused == ()
    with pytest.raises(JobError, match=r"near0\.jpg, near5\.jpg were taken at another zoom"):
        calibrate(usable_corners(looks, intake), MAT)


def test_two_cameras_have_a_lens_each(good):
    other = [
        (f"b{k}.jpg", saved(picture(s, zoom=1.2), quality=92, exif=tags(model="Slate")))
        for k, s in enumerate(STANDS[2:7])
    ]
    first = [told(look) for look in good[:5]]
    looks = [*first, *intake_of(other)[0]]
    intake = sort_looks(looks)
    assert [group.camera for group in intake.groups] == ["Maker, Pocket 7", "Maker, Slate"]
    focal = [g.focal for g in calibrate(usable_corners(looks, intake), MAT).groups]
    assert focal == pytest.approx([750.0, 900.0], rel=0.015)


def test_a_cropped_picture_is_refused_and_a_reduced_one_kept_apart(good):
    cut = saved(GOOD[50:550, 100:], exif=tags(size=(800, 600)))
    small = np.array(Image.fromarray(picture(STANDS[2])).resize((640, 480)))
    reduced = saved(small, exif=tags(size=(800, 600)))
    odd, _ = intake_of([("cut.jpg", cut), ("screen.jpg", reduced)])
    intake = sort_looks([*map(told, good[:4]), *odd])
    (refusal,) = intake.refused
    assert "cut out of a larger one: 700 x 500 of 800 x 600" in refusal.problem
    (doubt,) = intake.findings
    assert (doubt.code, doubt.where) == ("few-of-a-camera", "screen.jpg")


def test_the_same_picture_twice_and_two_of_one_name():
    one, two, three = shoot()[:3]
    _, intake = intake_of([one, two, ("copy.jpg", one[1]), (two[0], three[1])])
    assert [source.name for source in intake.accepted] == ["p0.jpg", "p1.jpg"]
    assert "there twice, also as p0.jpg" in intake.refused[0].problem
    assert "Two pictures are called p1.jpg" in intake.refused[1].problem


def test_one_bad_picture_stops_nothing_and_is_told(good):
    looks = [*good[3:], look_at(("black.jpg", saved(GOOD // 16), MAT))]
    intake = sort_looks(looks)
    assert len(calibrate(usable_corners(looks, intake), MAT).pictures) == 5
    (told_,) = refusal_findings(intake)
    assert (told_.code, told_.where) == ("picture-refused", "black.jpg")


def test_where_nothing_is_left_the_first_reason_is_given():
    looks, intake = intake_of([("a.jpg", b""), shoot()[0]])
    with pytest.raises(JobError, match=r"1 of 2 pictures cannot be used.*a\.jpg is empty"):
        usable_corners(looks, intake)


def checked(pictures, mat=MAT):
    with ThreadPoolExecutor(1) as executor:
        return check_shoot(pictures, mat, bench=Bench(executor))


def test_all_from_one_height_says_which_height_to_add():
    intake = checked(shoot(tuple((60 * k, 32, 430) for k in range(6))))
    assert "one-height" in {finding.code for finding in intake.findings}
    assert "No picture was taken from high heights" in intake.advice.say
    assert all("low" not in wanted.words for wanted in intake.advice.wanted)


def test_all_from_one_spot_is_told():
    spot = tuple((10 + 0.6 * k, 45 + 0.4 * k, 430) for k in range(3))
    intake = checked(shoot(spot))
    assert {"one-spot", "not-placed"} & {finding.code for finding in intake.findings}
    assert len(intake.accepted) == 3


def test_before_the_first_picture_the_advice_is_the_whole_plan():
    intake = checked([])
    assert len(intake.advice.wanted) == 15
    assert intake.advice.say.startswith("Walk round the mat twice")


def test_an_even_number_of_rows_is_told():
    even = Mat(squares=(13, 8), square_mm=20.0, marker_mm=14.7, dictionary="DICT_5X5_250")
    intake = checked(shoot(STANDS[4:], even), even)
    assert "even-rows" in {finding.code for finding in intake.findings}
    # Prints of older programs, with black and white changed round, are found all the same.
    old = look_at(
        ("old.jpg", saved(picture(STANDS[5], mat=even, page=paper(even, legacy=True))), even)
    )
    flat = inner_corners(even.squares, even.square_mm)[old.corners.ids, :2]
    _, inside = cv2.findHomography(flat, old.corners.px, cv2.RANSAC, 2.0)
    assert inside.mean() > 0.9


def test_two_mats_in_one_picture_do_not_pass_unseen(good):
    page = paper()
    double = np.vstack([page[: page.shape[0] // 2], page[: page.shape[0] // 2]])
    looks = [*good, look_at(("two.jpg", saved(picture(STANDS[4], page=double)), MAT))]
    intake = sort_looks(looks)
    calibration = calibrate(usable_corners(looks, intake), MAT)
    names = {f.where for f in (*refusal_findings(intake), *calibration.findings)}
    used = {p.name: p.corners_used for p in calibration.pictures}
    assert "two.jpg" in names or used["two.jpg"] <= 60
    assert calibration.residual_px < 0.2


def test_cards_that_never_share_a_picture_are_not_joined():
    cards = printed_mat("cards", 2)
    pictures = [
        (f"c{card}{k}.jpg", saved(picture(s, mat=cards, page=paper(cards, first=17 * card))))
        for card in range(2)
        for k, s in enumerate(STANDS[:2])
    ]
    intake = checked(pictures, cards)
    assert len(intake.accepted) == 4
    assert {"cards-not-joined", "picture-left-out"} & {f.code for f in intake.findings}


def test_taking_pictures_into_a_job_is_one_edit_and_loses_nothing(tmp_path):
    with JobFile.create(tmp_path / "a.buck", Job(name="A", mat=MAT)) as file:
        one, two = shoot()[:2]
        taken, refused = take_pictures(file, [one, ("bad.jpg", b""), two])
        assert taken == ("p0.jpg", "p1.jpg")
        assert [r.picture for r in refused] == ["bad.jpg"]
        taken, refused = take_pictures(file, [one, ("p1.jpg", shoot()[2][1])])
        assert taken == ("p1-2.jpg",)
        assert "is in the job already, as p0.jpg" in refused[0].problem
        assert file.picture_bytes(file.job().pictures[0].sha256) == one[1]
        file.undo()
        assert [p.name for p in file.job().pictures] == ["p0.jpg", "p1.jpg"]
