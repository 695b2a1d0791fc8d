"""The page as a text: one script, one style, a policy for both, and every text escaped for where it stands."""

import base64
import hashlib
import json
import re
from pathlib import Path

import drumgen
from drumgen.page.document import SCRIPTS, Music, Told, page_text, script_json
from drumgen.trade.cautions import HEARING_SENTENCE, STRAIN_SENTENCE

FOLDER = Path(drumgen.__file__).parent / "page"
HOSTILE = "</script><img src=x onerror=alert(1)>\"'&\u2028\u202e<!--"
FOLD = (
    '<div class="notes"><button type="button" class="unfold" aria-expanded="true" hidden>Notes to the player</button>'
    '<div class="leaf">'
)
DECLARED = re.compile(r"^(?:export )?(?:async )?(?:function|class|const|let)\s+(\w+)", re.MULTILINE)


def text_of(title: str = "Slip", notes: tuple[tuple[str, str], ...] = (), note: str = "") -> str:
    told = [Told(title, "quarter = 90", "4/4", notes), Told("Two", "quarter = 80", "3/4")]
    music = [Music(["<svg></svg>"], ["<svg></svg>"]), Music([], [])]
    return page_text(title=title, told=told, music=music, signs="", table={"phrases": [title]}, note=note)


def alone(title: str, note: str = "") -> str:
    told = [Told("Slip", "quarter = 90", "4/4")]
    return page_text(title=title, told=told, music=[Music([], [])], signs="", table={}, note=note)


def test_a_note_of_several_lines_is_as_many_paragraphs() -> None:
    text = text_of(notes=(("turn", "Slowly.\n\n  Then <fast>.\r\n"), ("", "One line")))
    assert '<p class="note-line"><b>turn:</b> Slowly.</p><p class="note-line">Then &lt;fast&gt;.</p>' in text
    assert '<p class="note-line">One line</p>' in text
    assert text.count(FOLD) == 1
    assert FOLD not in text_of()


def test_several_phrases_have_a_list_and_a_page_with_a_note_begins_there() -> None:
    plain, noted = text_of("A term"), text_of("A term", note="Warm up.\nRest.")
    assert plain.count('<button type="button" data-phrase="') == noted.count('<button type="button" data-phrase="') == 2
    assert '<section id="front" class="front put-away"><h2>A term</h2><ol>' in plain
    assert (
        f'<section id="front" class="front put-away" data-begins=""><h2>A term</h2>{FOLD}'
        '<p class="note-line">Warm up.</p><p class="note-line">Rest.</p></div></div><ol>'
    ) in noted


def test_one_phrase_has_no_list_and_its_page_may_have_a_title_and_a_note() -> None:
    assert 'data-phrase="' not in alone("Slip").partition("<script")[0]
    assert "<h2>Slip</h2>" not in alone("Slip")
    text = alone("Lesson", "Warm up.")
    assert "<title>Lesson</title>" in text
    assert "<h1>Lesson</h1>" in text
    assert "<h2>Slip</h2>" in text
    assert f'<section class="front">{FOLD}<p class="note-line">Warm up.</p></div></div></section>' in text
    assert 'data-phrase="' not in text.partition("<script")[0]


def test_it_has_a_word_on_ears_and_one_on_strain_as_it_plays_round_and_round() -> None:
    assert f'<p class="hint caution">{HEARING_SENTENCE} {STRAIN_SENTENCE}</p>' in text_of()
    assert STRAIN_SENTENCE.endswith("stop at pain, tingling or numbness and see a clinician.")


def test_no_two_modules_of_the_script_use_one_name() -> None:
    names = [name for script in SCRIPTS for name in DECLARED.findall((FOLDER / script).read_text("utf-8"))]
    assert sorted(names) == sorted(set(names))


def test_every_module_is_in_the_script_after_those_it_imports() -> None:
    assert {path.name for path in FOLDER.glob("*.js")} == set(SCRIPTS)
    for index, script in enumerate(SCRIPTS):
        imported = re.findall(r'from "\./([a-z]+\.js)"', (FOLDER / script).read_text("utf-8"))
        assert set(imported) <= set(SCRIPTS[:index])


def test_the_script_has_no_import_nor_export_left_and_no_end_of_its_element() -> None:
    script = text_of().partition('<script type="module">')[2].rpartition("</script>")[0]
    assert not re.search(r"^(?:import|export)\b", script, re.MULTILINE)
    assert "</" not in script.replace("</script>", "", 0).replace("< /", "")
    assert "eval(" not in script
    assert "innerHTML" not in script


def test_the_policy_names_the_hashes_of_style_and_script_and_nothing_else() -> None:
    text = text_of()
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    script = text.partition('<script type="module">')[2].rpartition("</script>")[0]
    style = text.partition("<style>")[2].partition("</style>")[0]
    hashes = [base64.b64encode(hashlib.sha256(each.encode()).digest()).decode() for each in (script, style)]
    assert policy[1].split("; ") == [
        "default-src 'none'",
        f"script-src 'sha256-{hashes[0]}'",
        f"style-src 'sha256-{hashes[1]}'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_hostile_texts_are_escaped_in_markup_and_in_data() -> None:
    text = text_of(HOSTILE, ((HOSTILE, HOSTILE),), f"{HOSTILE}\n{HOSTILE}")
    assert "<img" not in text
    assert "\u2028" not in text
    assert "\u202e" not in text.partition('id="phrases"')[0]
    data = text.partition('id="phrases">')[2].partition("</script>")[0]
    assert json.loads(data) == {"phrases": [HOSTILE]}


def test_json_for_a_script_is_json() -> None:
    value = {"a": ["<", "\u2028", "\u2029", "\\", '"', "\0", "é", 1.5, None]}
    assert json.loads(script_json(value)) == value
    assert not {"<", "\u2028", "\u2029"} & set(script_json(value))


def test_a_text_that_looks_like_a_blank_of_the_template_stays_a_text() -> None:
    assert text_of("@@script@@").count("<h1>@@script@@</h1>") == 1


def test_nothing_in_the_page_points_outside() -> None:
    text = text_of()
    assert not re.findall(r"(?:https?:)?//[a-z]", re.sub(r"http://www\.w3\.org/\d+/svg", "", text))
