"""Random edits by two windows and a hand, against a plain model of what should stand."""

import random
import tomllib

import pytest
from library.makers import entry, put_profile, put_shelf

from workbench.errors import LibraryError
from workbench.library import add_entry, edit_entry, open_shelf, remove_entry
from workbench.library.edits import FORMER_NAME, REMOVED_NAME

WORDS = ("plain", 'with "quotes"', "é ß 漢", "back\\slash", "# no comment", "[[paper]]", "'")


def some_value(random_, key):
    if key in ("weight_g_m2", "thickness_mm"):
        return random_.choice([100, 250.5, 247]) if key[0] == "w" else random_.choice([0.3, 2])
    if key in ("sheets", "rolls"):
        return [random_.choice(["A4", "A3", "24 in", "8×10"]) for _ in range(random_.randint(0, 3))]
    if key.startswith("price"):
        return random_.choice([1.5, {"A4": 1, "24 in": 2.25}, {"A3": 0}])
    if key == "notes":
        return "\n".join(random_.choices(WORDS, k=random_.randint(1, 4)))
    return random_.choice(WORDS)


KEYS = (
    "surface_texture",
    "finish",
    "base",
    "black_ink",
    "weight_g_m2",
    "thickness_mm",
    "sheets",
    "rolls",
    "price_per_sheet",
    "price_per_metre",
    "currency",
    "printer",
    "notes",
)


def as_written(value):
    if isinstance(value, list):
        return list(dict.fromkeys(value)) or None
    return value


@pytest.mark.parametrize("edits", [250, pytest.param(1000, marks=pytest.mark.long)])
def test_random_edits_lose_nothing(tmp_path, monkeypatch, edits):
    # forcing to the disk matters to power cuts only, and takes most of the time
    monkeypatch.setattr("os.fsync", lambda handle: None)
    random_ = random.Random(7)
    put_profile(tmp_path)
    start = "# head\nversion = 1\n" + entry("Start", "# inside the start\n") + "\n[other]\nx = 1\n"
    put_shelf(tmp_path, start)
    path = tmp_path / "shelf.toml"
    model = {"Start": {}}
    unknown: dict[str, dict] = {"Start": {}}
    comments = ["# head", "# inside the start"]
    windows = [open_shelf(tmp_path), open_shelf(tmp_path)]
    refused = counter = 0

    for step in range(edits):
        former = path.read_text()
        side = random_.randrange(2)
        window = windows[side]
        act = random_.choices(("edit", "add", "remove", "rename", "hand"), (50, 16, 12, 7, 15))[0]
        name = random_.choice(sorted(model)) if model else None
        if (act == "add" and len(model) < 15) or name is None:
            counter += 1
            new = f"Paper {counter} {random_.choice(WORDS)}"
            key = random_.choice(KEYS)
            value = some_value(random_, key)
            windows[side] = add_entry(window, tmp_path / "paper.icc", new, **{key: value})
            value = as_written(value)
            model[new] = {} if value is None else {key: value}
            unknown[new] = {}
        elif act == "hand":
            # a person types between the workbench's changes
            comment = f"# by hand {step}."
            text = path.read_text()
            kind = random_.randrange(3)
            if kind == 0:
                text += f"\n{comment}\n"
            elif kind == 1:
                text = text.replace("[[paper]]\nname", f"{comment}\n[[paper]] # t{step}\nname", 1)
                comment = comment if comment in text else "# head"
            else:
                read = tomllib.loads(text)["paper"]
                mine = next(i for i, each in enumerate(read) if each["name"] == name)
                at = [i for i, line in enumerate(text.split("\n")) if line.startswith("profile =")]
                lines = text.split("\n")
                lines.insert(at[mine] + 1, f"odd_{step} = [1, {step}] {comment}")
                text = "\n".join(lines)
                unknown[name][f"odd_{step}"] = [1, step]
            path.write_text(text)
            comments.append(comment)
            continue
        else:
            try:
                held = window.entry(name)
            except LibraryError:
                # this window has not seen it yet
                window = windows[side] = open_shelf(tmp_path)
                held = window.entry(name)
            try:
                if act == "remove":
                    windows[side] = remove_entry(window, held)
                    del model[name], unknown[name]
                elif act == "rename":
                    counter += 1
                    new = f"Renamed {counter}"
                    windows[side] = edit_entry(window, held, name=new)
                    model[new], unknown[new] = model.pop(name), unknown.pop(name)
                else:
                    changes = {
                        key: random_.choice([None, some_value(random_, key)])
                        for key in random_.sample(KEYS, random_.randint(1, 4))
                    }
                    windows[side] = edit_entry(window, held, **changes)
                    for key, value in changes.items():
                        value = as_written(value)
                        model[name].pop(key, None)
                        if value is not None:
                            model[name][key] = value
            except LibraryError as problem:
                # the other window was here first; nothing may have changed
                assert "another window" in str(problem)
                assert path.read_text() == former
                windows[side] = open_shelf(tmp_path)
                refused += 1
                continue
        text = path.read_text()
        if text != former:
            assert (tmp_path / FORMER_NAME).read_text() == former
        read = tomllib.loads(text)
        assert (read["version"], read["other"]) == (1, {"x": 1})
        there = {
            each["name"]: {k: v for k, v in each.items() if not k.startswith(("name", "profile"))}
            for each in read.get("paper", [])
        }
        assert there == {name: {**model[name], **unknown[name]} for name in model}, step
        removed = tmp_path / REMOVED_NAME
        everything = text + (removed.read_text() if removed.exists() else "")
        assert [each for each in comments if each not in everything] == [], step

    assert open_shelf(tmp_path).problems == ()
    assert counter > edits / 10 and edits / 200 < refused < edits / 3
    # all that was ever removed can be read
    assert len(tomllib.loads((tmp_path / REMOVED_NAME).read_text())["paper"]) > edits / 20
    assert not list(tmp_path.glob("*part"))
