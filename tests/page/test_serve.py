"""The page while the plan is written: served to this machine alone, made anew by every save."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

PLAN = "overlay: 1\ntitle: First title\nblocks: [{intervals: [{name: A}]}]\n"
WRONG = PLAN.replace("title:", "titel:")


def overlay(*arguments: str | Path) -> list[str]:
    return [sys.executable, "-m", "overlay", *map(str, arguments)]


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "class.yaml"
    path.write_text(PLAN, encoding="utf-8")
    return path


@pytest.fixture
def served(plan: Path) -> Iterator[tuple[int, subprocess.Popen[str]]]:
    """The command, serving the plan on a free port."""
    command = overlay("rehearse", plan, "--no-browser")
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8")
    assert process.stdout is not None
    told = process.stdout.readline()
    found = re.search(r"http://127\.0\.0\.1:(\d+)/", told)
    assert found, told
    yield int(found[1]), process
    process.kill()
    process.communicate()


def asked(port: int, path: str = "/", host: str = "127.0.0.1") -> tuple[int, dict[str, str], str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", path, headers={"Host": f"{host}:{port}"})
    answer = connection.getresponse()
    headers = {name.lower(): value for name, value in answer.getheaders()}
    body = answer.read().decode("utf-8")
    connection.close()
    return answer.status, headers, body


def test_the_page_is_served_to_this_machine_alone(served: tuple[int, Any]) -> None:
    """The page at `/`, nothing elsewhere, nothing for another host name, and no other site may read it."""
    port, _ = served
    status, headers, body = asked(port)
    assert status == 200
    assert headers["content-type"] == "text/html; charset=utf-8"
    assert "<title>First title" in body
    assert "access-control-allow-origin" not in headers
    assert asked(port, host="localhost")[0] == 200
    assert asked(port, host="example.org")[0] == 400
    assert [asked(port, path)[0] for path in ("/class.yaml", "/../class.yaml", "/docs")] == [404, 404, 404]


@pytest.mark.skipif(os.name == "nt", reason="Windows sends Ctrl-C to a whole console")
def test_ctrl_c_ends_it(served: tuple[int, subprocess.Popen[str]]) -> None:
    """Status 0 and no traceback, even while a page listens."""
    port, process = served
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", "/changes")
    assert connection.getresponse().readline().startswith(b"data: ")
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=20)
    connection.close()
    assert (process.returncode, errors) == (0, "")


def test_a_wrong_plan_and_a_taken_port(plan: Path, served: tuple[int, Any]) -> None:
    """What is wrong from the start ends the command as every other: 2 for the plan, 3 for the machine."""
    port, _ = served
    command = overlay("rehearse", plan, "--no-browser", "--port", str(port))
    taken = subprocess.run(command, capture_output=True, text=True, check=False)
    assert taken.returncode == 3
    assert f"port {port}" in taken.stderr
    plan.write_text(WRONG, encoding="utf-8")
    wrong = subprocess.run(overlay("rehearse", plan, "--no-browser"), capture_output=True, text=True, check=False)
    assert wrong.returncode == 2
    assert "Did you mean title?" in wrong.stderr


def test_a_save_shows_and_a_mistake_stands_over_the_last_good_page(
    browser: Any, served: tuple[int, Any], plan: Path
) -> None:
    """The browser shows the new title by itself; a mistake shows the terminal's own words, and goes when mended."""
    port, _ = served
    page = browser.new_page()
    page.goto(f"http://127.0.0.1:{port}/")
    assert page.inner_text("h1") == "First title"
    plan.write_text(PLAN.replace("First", "Second"), encoding="utf-8")
    page.wait_for_selector("h1:has-text('Second title')")
    plan.write_text(WRONG, encoding="utf-8")
    page.wait_for_selector("#mistake:not([hidden])")
    terminal = subprocess.run(overlay("check", plan), capture_output=True, text=True, encoding="utf-8", check=False)
    assert page.text_content("#mistake pre").strip() == terminal.stderr.strip()
    assert "Did you mean title?" in terminal.stderr
    assert page.inner_text("h1") == "Second title"
    page.reload()
    page.wait_for_selector("#mistake:not([hidden])")
    # As editors save: a new file put in the old one's place.
    aside = plan.with_suffix(".new")
    aside.write_text(PLAN.replace("First", "Third"), encoding="utf-8")
    aside.replace(plan)
    page.wait_for_selector("h1:has-text('Third title')")
    assert page.is_hidden("#mistake")
    page.close()


def test_the_place_stays_through_a_save(browser: Any, served: tuple[int, Any], plan: Path) -> None:
    """An opening that is put before it does not move the place in the class."""
    port, _ = served
    page = browser.new_page()
    page.goto(f"http://127.0.0.1:{port}/")
    page.click("#skip")
    assert page.inner_text("#what") == "A"
    # The title stays: it names what is remembered.
    plan.write_text(PLAN + "opening: {length: 20s}\n", encoding="utf-8")
    page.wait_for_selector("#whole:has-text('1:00')")
    assert page.inner_text("#what") == "A"
    page.close()


def test_a_save_of_what_the_plan_shares_is_heard(tmp_path: Path) -> None:
    """A library above the plan, and one that comes only later: each save gives another state, told to who listens."""
    (tmp_path / "series.yaml").touch()
    moves = tmp_path / "moves" / "moves.yaml"
    moves.parent.mkdir()
    moves.write_text("exercises: {squat: {name: Squat}}\n", "utf-8")
    plan = tmp_path / "may" / "class.yaml"
    plan.parent.mkdir()
    shares = "overlay: 1\ntitle: A\nexercises_from: [moves/moves.yaml]\nblocks: [{intervals: [squat]}]\n"
    plan.write_text(shares, "utf-8")
    with subprocess.Popen(overlay("rehearse", plan, "--no-browser"), stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        found = re.search(r"127\.0\.0\.1:(\d+)", process.stdout.readline())
        assert found
        connection = http.client.HTTPConnection("127.0.0.1", int(found[1]), timeout=20)
        connection.request("GET", "/changes")
        answer = connection.getresponse()

        def told() -> Any:
            line = answer.readline()
            answer.readline()
            return json.loads(line.removeprefix(b"data: "))

        first = told()
        moves.write_text("exercises: {squat: {name: Deep squat}}\n", "utf-8")
        second = told()
        assert (second["mistake"], second["version"] == first["version"]) == (None, False)
        assert "Deep squat" in asked(int(found[1]))[2]
        plan.write_text(shares.replace("moves/moves.yaml", "later.yaml"), "utf-8")
        assert "there is no file later.yaml" in told()["mistake"]
        (tmp_path / "later.yaml").write_text("exercises: {squat: {name: Low squat}}\n", "utf-8")
        last = told()
        while last["mistake"]:  # the folder is heard as the file is made, before it is written
            last = told()
        assert last["version"] != second["version"]
        connection.close()
        process.kill()


def test_nothing_of_it_is_loaded_by_check() -> None:
    """Server and watcher are imported by the command that needs them."""
    code = "import sys; from overlay.cli import app; print(sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert not {"starlette", "uvicorn", "watchfiles", "asyncio"} & set(re.findall(r"'(\w+)'", loaded))


def test_the_mistake_is_accessible_and_leaves_the_page_at_hand(
    browser: Any, served: tuple[int, Any], plan: Path
) -> None:
    """axe-core finds nothing while it stands there, and the last good class still plays."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    port, _ = served
    page = browser.new_page(bypass_csp=True)
    page.goto(f"http://127.0.0.1:{port}/")
    plan.write_text(WRONG, encoding="utf-8")
    page.wait_for_selector("#mistake:not([hidden])")
    assert axe.Axe().run(page).response["violations"] == []
    page.click("#play")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    page.close()
