"""The page as a file: offline, escaped, accessible, small, quick to be ready, clean in print."""

import json
from pathlib import Path
from typing import Any

import pytest
from page_room import Opener, phrase_of
from playwright.sync_api import Browser, Page, expect

from drumgen.audition import render_page
from drumgen.phrase import Phrase

HOSTILE = '</script><img src=x onerror="hit=1">\'"&amp;<!--\u2028\u2029\u202eabc\u2066{{7*7}}${hit=1}'
HOSTILE_PHRASE = """
title  = TITLE
note   = TITLE
kit    = "kit.toml"
phrase = [NAME]

[bars.NAME]
sticking = "RLRR LRLL"
hands.R  = VOICE
hands.L  = "snare"
note     = TITLE
"""
HOSTILE_KIT = """
title = TITLE
[voices.VOICE]
note = 42
[voices.snare]
note = 38
[voices.click]
note = 76
[voices.click-accent]
note = 77
"""


def test_nothing_is_asked_of_the_network(browser: Browser, demo_page: Path) -> None:
    context = browser.new_context(offline=True)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("websocket", lambda socket: asked.append(socket.url))
    page.goto(demo_page.as_uri())
    page.wait_for_selector("html[data-ready]", state="attached")
    page.keyboard.press("Space")
    page.wait_for_function("() => audition.page.isPlaying")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(1500)
    page.emulate_media(media="print")
    assert [url for url in asked if not url.startswith("data:")] == [demo_page.as_uri()]
    context.close()


def test_the_policy_refuses_the_network_and_any_other_script(browser: Browser, millrace_page: Path) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(millrace_page.as_uri())
    page.wait_for_selector("html[data-ready]", state="attached")
    refused = page.evaluate("""async () => {
      const violations = [];
      addEventListener("securitypolicyviolation", ({ effectiveDirective }) => violations.push(effectiveDirective));
      await fetch("http://127.0.0.1:9/").catch(() => {});
      new Image().src = "http://127.0.0.1:9/x.png";
      const script = document.createElement("script");
      script.textContent = "globalThis.hit = 1";
      document.body.append(script);
      const style = document.createElement("style");
      style.textContent = "body { display: none }";
      document.body.append(style);
      await new Promise((then) => setTimeout(then, 200));
      return { violations: violations.sort(), hit: globalThis.hit ?? 0 };
    }""")
    assert refused == {"violations": ["connect-src", "img-src", "script-src-elem", "style-src-elem"], "hit": 0}
    context.close()


@pytest.fixture(scope="module")
def hostile_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    names = {"TITLE": HOSTILE, "NAME": "</script><b onclick=hit=1>", "VOICE": "\"><svg onload=hit=1>'"}
    for name, text in names.items():
        names[name] = json.dumps(text, ensure_ascii=True)
    kit, phrase = HOSTILE_KIT, HOSTILE_PHRASE
    for name, text in names.items():
        kit, phrase = kit.replace(name, text), phrase.replace(name, text)
    (folder / "kit.toml").write_text(kit, "utf-8")
    one = phrase_of(folder, phrase)
    path = folder / "</script><img onerror=hit=1>.html".replace("/", "-")
    path.write_text(render_page([one, one], title=HOSTILE).text, "utf-8")
    return path


def test_hostile_titles_names_and_voices_are_text(open_page: Opener, hostile_page: Path) -> None:
    page = open_page(hostile_page)
    shown = HOSTILE.replace("\u2028", "\ufffd").replace("\u2029", "\ufffd").replace("\u202e", "\ufffd")
    shown = shown.replace("\u2066", "\ufffd")
    assert page.title() == shown
    assert page.locator("#top h1").text_content() == shown
    assert page.locator("h2").first.text_content() == shown
    assert page.locator("#which option").first.text_content() == shown
    page.keyboard.press("p")
    page.locator("#start").click()
    expect(page.locator("#said")).to_contain_text("Playing")
    page.wait_for_timeout(1500)
    assert page.get_by_role("button", name="Silence the \"><svg onload=hit=1>'").count() == 1
    assert page.evaluate("globalThis.hit") is None
    assert page.locator("img, [onerror], [onload], [onclick]").count() == 0


def test_a_browser_that_keeps_nothing_still_plays(browser: Browser, millrace_page: Path) -> None:
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } })"
    )
    page = context.new_page()
    page.goto(millrace_page.as_uri())
    page.wait_for_selector("html[data-ready]", state="attached")
    page.keyboard.press("f")
    page.keyboard.press("Space")
    page.wait_for_function("() => audition.page.isPlaying && audition.page.set.tempo === 99")
    context.close()


def test_what_is_remembered_is_not_trusted(browser: Browser, millrace_page: Path) -> None:
    context = browser.new_context()
    context.add_init_script("""
      const habits = '{"drums": "loud", "paper": 3, "lefty": 1}';
      Storage.prototype.getItem = (name) => (name.includes("tempo") ? "1e99" : habits);
    """)
    page = context.new_page()
    page.goto(millrace_page.as_uri())
    page.wait_for_selector("html[data-ready]", state="attached")
    assert page.evaluate("[audition.page.set.tempo, audition.page.habits.drums, audition.page.habits.lefty]") == [
        400,
        80,
        False,
    ]
    context.close()


def faults(page: Page, axe: str) -> list[str]:
    """What axe-core finds that is serious or critical."""
    page.evaluate(axe)
    found: dict[str, Any] = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    return [
        f"{each['id']}: {each['nodes'][0]['html'][:120]}"
        for each in found["violations"]
        if each["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_axe_finds_no_serious_fault(open_page: Opener, demo_page: Path, axe: str, scheme: str, width: int) -> None:
    page = open_page(demo_page, width=width, color_scheme=scheme)
    assert not faults(page, axe)
    page.keyboard.press("1")
    page.keyboard.press("p")
    assert not faults(page, axe)
    page.keyboard.press("Escape")
    page.keyboard.press("PageDown")
    page.wait_for_function("() => audition.page.isPlaying")
    assert not faults(page, axe)


def test_a_page_of_eight_phrases_is_small_and_soon_ready(open_page: Opener, demo_page: Path) -> None:
    assert demo_page.stat().st_size < 3_000_000
    ready = [int(open_page(demo_page).locator("html").get_attribute("data-ready") or "9999") for _ in range(3)]
    assert min(ready) < 1000


def test_the_same_phrases_give_the_same_bytes(millrace: Phrase, millrace_page: Path) -> None:
    assert render_page(millrace).text == millrace_page.read_text("utf-8")


def test_print_is_a_clean_sheet_of_every_phrase(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page, color_scheme="dark")
    page.keyboard.press("1")
    page.keyboard.press("p")
    page.emulate_media(media="print")
    for hidden in ("#reach", "#practice", "#state", "#which"):
        assert not page.locator(hidden).is_visible()
    assert page.locator(".phrase h2").count() == 8
    assert all(heading.is_visible() for heading in page.locator(".phrase h2").all())
    ink = page.locator(".note.silenced").first.evaluate("note => getComputedStyle(note).fill")
    paper = page.locator("body").evaluate("body => getComputedStyle(body).backgroundColor")
    assert (ink, paper) == ("rgb(0, 0, 0)", "rgb(255, 255, 255)")
    scales = page.evaluate("""() => [...document.querySelectorAll(".edition.long .strip svg")].map((svg) =>
      svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)""")
    assert max(scales) < 1.01 * min(scales), "every phrase is to the same scale, the one that was on the screen too"
    assert page.pdf().startswith(b"%PDF-")


def test_the_page_begins_as_it_was_asked_to(open_page: Opener, tmp_path: Path) -> None:
    phrase = phrase_of(
        tmp_path,
        'phrase = ["a x4"]\ntempo = 90\n[bars.a]\nsticking = "RLRR"\nfeet.kick = "1"\n'
        '[practice]\ntimes = 4\ncount-in = 2\nclick = "2 and 4"\ngap = "2 on 1 off"\nlimbs = "hands"\nbars = "2-3"\n',
    )
    path = tmp_path / "page.html"
    path.write_text(render_page(phrase, counts=True, sticking=False).text, "utf-8")
    page = open_page(path)
    shown = {name: page.locator(f"#{name}").input_value() for name in ("countIn", "gapOn", "gapOff", "first", "last")}
    assert shown == {"countIn": "2", "gapOn": "2", "gapOff": "1", "first": "2", "last": "3"}
    assert page.locator("#click").input_value() == "2 and 4"
    assert page.locator("#times").input_value() == "4"
    assert page.evaluate("[...audition.page.set.silentLimbs].sort()") == ["H", "K"]
    assert page.locator("body").get_attribute("class") == "no-sticking counted"
