"""Languages: which one is spoken, numbers both ways, and whether a catalog is whole."""

from __future__ import annotations

import ast
import os
import re
import string
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

import workbench
from workbench import language
from workbench.characteristics import meant_by, word_of
from workbench.errors import WorkbenchError
from workbench.launch import UsageError, bootstrap, command
from workbench.numbers import number

PACKAGE = Path(workbench.__file__).parent
GERMAN = language.CATALOGS / "de.po"
NAMES = ("WORKBENCH_LANGUAGE", "LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")


def in_german(code: str) -> list[str]:
    """What a process that speaks German prints."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "WORKBENCH_LANGUAGE": "de", "PYTHONIOENCODING": "utf-8"},
        cwd=PACKAGE.parent,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
    )
    assert not done.returncode, done.stderr
    return done.stdout.splitlines()


@pytest.mark.parametrize(
    ("environment", "spoken"),
    [
        ({}, "en"),
        ({"WORKBENCH_LANGUAGE": "de"}, "de"),
        ({"WORKBENCH_LANGUAGE": "DE_at"}, "de"),
        ({"WORKBENCH_LANGUAGE": "en", "LANG": "de_DE.UTF-8"}, "en"),
        ({"WORKBENCH_LANGUAGE": "", "LANG": "de_DE.UTF-8"}, "de"),
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LANG": "C"}, "en"),
        ({"LANG": "de_DE.UTF-8", "LC_ALL": "C.UTF-8"}, "en"),
        ({"LANGUAGE": "de:en", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LANG": "xx_XX"}, "en"),
    ],
)
def test_the_environment_says_what_is_spoken(monkeypatch, environment, spoken):
    for name in NAMES:
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)

    assert language.chosen_language() == spoken


def test_english_only_fills_in_values():
    assert language.tr("{name}: {size:,.1f} mm", name="A", size=1234.5) == "A: 1,234.5 mm"
    assert language.tr("{ A4 = 0.9 }") == "{ A4 = 0.9 }"
    assert language.tr("") == ""


def test_a_point_is_typed_in_english():
    assert language.decimal(" 29.7 ") == 29.7
    for wrong in ("29,7", "1,234.5", "", "wide"):
        with pytest.raises(ValueError):
            language.decimal(wrong)
    assert number("29.7", "width", low=1, high=100) == 29.7
    with pytest.raises(WorkbenchError, match="width must be a number"):
        number("29,7", "width", low=1, high=100)
    assert language.typed_list("17.5 in, 61 cm,") == ["17.5 in", "61 cm"]
    assert language.with_points("30,5") == "30,5"


def test_words_that_files_hold_stay_as_they_are():
    assert word_of("satin") == "satin" == meant_by("satin")
    assert word_of("my own") == "my own" == meant_by("my own")
    assert word_of(None) is None


def test_english_dates_and_numbers_alone():
    moment = date(2026, 2, 1)
    assert language.day(moment) == "2026-02-01"
    assert language.day(moment, "%d %B", "MMMMd") == "01 February"
    assert language.month(3) == "Mar"
    assert language.numeral(1234.5, ",.1f") == "1,234.5"


def test_german_dates_and_axes():
    said = in_german(
        "from datetime import date, datetime\n"
        "from workbench.figures.record import _with_months\n"
        "from workbench.figures.style import add_axes, new_figure\n"
        "from workbench.language import day, month, numeral\n"
        "print(day(date(2026, 2, 1)), day(datetime(2026, 5, 4, 12), '%d %B', 'MMMMd'))\n"
        "print(month(5), _with_months('04 <05> 2026'), numeral(1234.5, ',.1f'))\n"
        "figure = new_figure()\n"
        "axes = add_axes(figure)\n"
        "axes.plot([0, 1], [0, 1])\n"
        "figure.canvas.draw()\n"
        "print([label.get_text() for label in axes.get_xticklabels()][1:4])\n"
    )
    assert said == ["1. Feb. 2026 4. Mai", "Mai 04 Mai 2026 1.234,5", "['0,0', '0,2', '0,4']"]


def test_numbers_in_german():
    said = in_german(
        "from workbench.language import decimal, tr, typed_list, with_points, LIST_MARK\n"
        "print(tr('{w:.1f} × {h:,.2f}', w=38.1, h=12345.678))\n"
        "print(tr('{n} {word}', n=3, word='1.5'))\n"
        "print(decimal('29,7'), decimal('29.7'))\n"
        "for wrong in ('1.234,5', '1,2,3', 'x'):\n"
        "    try:\n"
        "        print(decimal(wrong))\n"
        "    except ValueError:\n"
        "        print('no')\n"
        "print(typed_list('17,5 in; 61 cm, 24 in,30.5 x 40 cm'))\n"
        "print(typed_list('30,5 x 40 cm'), with_points('30,5 x 40,2'))\n"
        "print(LIST_MARK + '|')\n"
    )
    assert said == [
        "38,1 × 12.345,68",
        "3 1.5",
        "29.7 29.7",
        "no",
        "no",
        "no",
        "['17.5 in', '61 cm', '24 in', '30.5 x 40 cm']",
        "['30.5 x 40 cm'] 30.5 x 40.2",
        "; |",
    ]


def test_a_german_word_offered_is_the_one_that_files_hold():
    said = in_german(
        "from workbench.characteristics import CHARACTERISTICS, _WORDS, meant_by, word_of\n"
        "print(len(set(_WORDS.values())) == len(_WORDS))\n"
        "print(all(meant_by(word_of(each)) == each for each in _WORDS))\n"
        "offered = {word for each in CHARACTERISTICS.values() for word in each.offered}\n"
        "print(offered <= set(_WORDS))\n"
    )
    assert said == ["True", "True", "True"]


def test_what_helps_against_a_problem_is_told_in_german_too():
    said = in_german(
        "from workbench.launch.command import RUN_HINTS\n"
        "from workbench.language import tr\n"
        "sentences = [tr('There is a file “{name}” already; choose another name, or allow it to be '\n"
        "                'replaced.'),\n"
        "             tr('{said}; put the former file back, or accept the change.')]\n"
        "print([words in sentence for (words, _), sentence in zip(RUN_HINTS, sentences)])\n"
    )
    assert said == ["[True, True]"]


def test_the_command_line_names_the_language(monkeypatch):
    again = []
    monkeypatch.setattr(bootstrap, "run_again", lambda *asked: again.append(asked))
    monkeypatch.setenv("WORKBENCH_LANGUAGE", "en")

    command.speak(["picture.tif", "--language", "en"])
    command.speak(["picture.tif"])
    assert not again

    command.speak(["picture.tif", "--language=de"])
    assert again == [(sys.executable, ["picture.tif", "--language=de"])]
    assert os.environ["WORKBENCH_LANGUAGE"] == "de"


def test_a_language_that_there_is_not(monkeypatch):
    monkeypatch.setenv("WORKBENCH_LANGUAGE", "en")

    with pytest.raises(UsageError, match=r"“xx”.*en \(English\), de \(Deutsch\)"):
        command.speak(["--language", "xx"])
    assert os.environ["WORKBENCH_LANGUAGE"] == "en"


def extracted() -> set[str]:
    """The messages that a catalog needs, as Babel finds them."""
    kinds = [("**.py", "python"), ("**.js", "javascript")]
    found = extract_from_dir(PACKAGE, kinds, keywords={"tr": None})
    return {message[0] if isinstance(message, tuple) else message for _, _, message, *_ in found}


def test_every_message_is_found():
    """Babel passes over what stands within an f-string."""
    asked = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "tr":
                # a text that is held elsewhere is found there
                asked |= {node.args[0].value} if isinstance(node.args[0], ast.Constant) else set()

    missed = sorted(asked - extracted() - {""})
    assert not missed


def fields(text: str) -> list[tuple]:
    """What stands in braces."""
    try:
        parts = string.Formatter().parse(text)
        return sorted((part[1:] for part in parts if part[1] is not None), key=str)
    except ValueError:  # braces that are no places
        return [("braces", text.count("{"), text.count("}"))]


def tags(text: str) -> list[str]:
    return sorted(re.findall(r"<[^<>]+>", text))


def test_the_german_catalog_is_whole():
    with open(GERMAN, "rb") as file:
        catalog = {each.id: each for each in read_po(file, locale="de") if each.id}
    needed = extracted()

    missing, idle = sorted(needed - set(catalog)), sorted(set(catalog) - needed)
    assert not missing and not idle
    untold = [each.id for each in catalog.values() if not each.string or each.fuzzy]
    assert not untold
    places = [each.id for each in catalog.values() if fields(each.id) != fields(each.string)]
    assert not places
    marked = [each.id for each in catalog.values() if tags(each.id) != tags(each.string)]
    assert not marked
