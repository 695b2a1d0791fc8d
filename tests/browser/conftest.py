"""A browser for the audition page: Chromium, driven by Playwright, with pages opened from disk."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_room import AXE, CHROMIUM, DEMO, Opener, missing
from playwright.sync_api import Browser, Page, sync_playwright

from drumgen.audition import render_page
from drumgen.phrase import Phrase
from drumgen.spec.loading import load_phrase


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = shutil.which("chromium") or shutil.which("chromium-browser") or missing("chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=[*CHROMIUM])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def axe() -> str:
    return AXE.read_text("utf-8") if AXE.exists() else missing("axe-core, of the npm registry")


@pytest.fixture(scope="session")
def demo_phrases() -> list[Phrase]:
    return [load_phrase(str(path)).phrase for path in DEMO]


@pytest.fixture(scope="session")
def millrace(demo_phrases: list[Phrase]) -> Phrase:
    return next(each for each in demo_phrases if each.title == "Millrace")


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("pages")


@pytest.fixture(scope="session")
def demo_page(demo_phrases: list[Phrase], folder: Path) -> Path:
    """The page of the eight phrases of the demonstration."""
    path = folder / "demo.html"
    path.write_text(render_page(demo_phrases, title="The drum room").text, "utf-8")
    return path


@pytest.fixture(scope="session")
def millrace_page(millrace: Phrase, folder: Path) -> Path:
    """The page of one phrase, eight bars long."""
    path = folder / "millrace.html"
    path.write_text(render_page(millrace).text, "utf-8")
    return path


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Opener]:
    """Opens a page from disk; an error in it fails the test."""
    contexts = []
    faults: list[str] = []

    def opener(path: Path, *, width: int = 1280, height: int = 800, **options: Any) -> Page:  # noqa: ANN401
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
        page.goto(path.as_uri())
        page.wait_for_selector("html[data-ready]", state="attached")
        return page

    yield opener
    for context in contexts:
        context.close()
    assert not faults
