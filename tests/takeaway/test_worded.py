"""What pages say in another language: their JavaScript with its words before it."""

import json
import re
from pathlib import Path

import workbench
from workbench.live import worded

SCRIPTS = sorted(Path(workbench.__file__).parent.rglob("*.js"))


def test_in_english_nothing_is_put_in():
    said = worded.words_before('tr("Larger; key +")')
    assert "const WORDS = {};" in said and 'const DECIMAL = ".";' in said


def test_only_what_is_said_is_put_in_and_ends_no_script(monkeypatch):
    german = {"Larger": "Größer", "Smaller": "Kleiner", "Odd": "</script>"}
    monkeypatch.setattr(worded, "tr", lambda text: german.get(text, text))
    monkeypatch.setattr(worded, "DECIMAL", ",")
    said = worded.worded('a(tr("Larger"), tr("Odd"), tr("Same"));')
    assert "</script>" not in said
    words = json.loads(re.search(r"^const WORDS = (.*);$", said, re.MULTILINE)[1])
    assert words == {"Larger": "Größer", "Odd": "</script>"}
    assert 'const DECIMAL = ",";' in said
    assert said.endswith('a(tr("Larger"), tr("Odd"), tr("Same"));')


def test_every_text_of_a_script_is_a_literal_that_is_found():
    for path in SCRIPTS:
        if path.name == "words.js":
            continue
        text = path.read_text("utf-8")
        assert len(re.findall(r"\btr\(", text)) == len(worded._CALL.findall(text)), path
