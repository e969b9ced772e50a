"""What nobody foresaw is plain words on the page, uploads of one name stay apart, and a link is nobody else's."""

from __future__ import annotations

import io
import logging
import tomllib

import pytest

from preview.job.work import new_work, put_upload, work_folder, work_home
from preview.page.nets import WENT_WRONG, hide_links
from preview.page.serving import QUIET
from tests.page.visiting import APP, visit


def test_what_nobody_foresaw_is_plain_words(monkeypatch, caplog):
    page = visit()
    name = page.session_state["work"]

    def fail(*_):
        msg = f"boom at {work_folder(work_home(), name)}"
        raise RuntimeError(msg)

    monkeypatch.setattr("preview.page.app.say", fail)
    titles = []
    monkeypatch.setattr("preview.page.app.st.set_page_config", lambda **known: titles.append(known["page_title"]))
    page.run()
    assert titles == ["Etch-contrast preview"]  # which the browser's history keeps, and says nothing of the link
    assert not page.exception
    assert [each.value for each in page.error] == [WENT_WRONG]
    assert "boom at" in caplog.text
    assert name not in caplog.text
    caplog.clear()  # it was asked for


def test_no_traceback_where_a_net_has_a_hole():
    """A widget's callback runs before the page does; there Streamlit's own word stands, without details."""
    settings = tomllib.loads((APP.parent / ".streamlit" / "config.toml").read_text())
    assert settings["client"]["showErrorDetails"] == "none"
    assert "--client.showErrorDetails=none" in QUIET


def test_logs_do_not_tell_a_link():
    hide_links()
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    log = logging.getLogger("a library's own")
    log.addHandler(handler)
    secret = "0123456789abcdef01234567"
    try:
        raise ValueError(secret)
    except ValueError:
        log.warning("GET /?work=%s", secret, exc_info=True)
    log.removeHandler(handler)
    assert "GET /?work=..." in stream.getvalue()
    assert "ValueError: ..." in stream.getvalue()
    assert secret not in stream.getvalue()


def test_uploads_of_one_name_stay_apart(tmp_path):
    one, other = (put_upload(tmp_path, {"p.png": content}) for content in (b"one", b"other"))
    assert (one / "p.png").read_bytes() == b"one"
    assert (other / "p.png").read_bytes() == b"other"
    assert put_upload(tmp_path, {"p.png": b"one"}) == one
    assert put_upload(tmp_path, {"p.png": b"one", "job.toml": b""}) not in (one, other)


@pytest.mark.skipif("sys.platform == 'win32'", reason="no such modes there")
def test_work_is_for_its_owner_alone(tmp_path):
    home = tmp_path / "work"
    name = new_work(home)
    assert {path.stat().st_mode & 0o777 for path in (home, home / name)} == {0o700}
