"""The package keeps its promises: pure, quick to import, every public function documented."""

import importlib
import inspect
import pkgutil
import subprocess
import sys

import pytest

from optimizer import engineering

# Topics of other builders may stand here too: only what lies in this package is looked at.
TOPICS = sorted(
    name for _, name, _ in pkgutil.iter_modules(engineering.__path__) if not name.startswith("_")
)


def public_functions(topic):
    module = importlib.import_module(f"optimizer.engineering.{topic}")
    return [
        (name, function)
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    ]


def test_the_topics_are_found():
    assert {"optics", "light", "video", "storage", "copper", "poe", "reach"} <= set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_docstrings_are_complete(topic):
    functions = public_functions(topic)
    assert functions
    for name, function in functions:
        text = inspect.getdoc(function) or ""
        for section in ("Returns", "Raises", "References"):
            assert f"{section}\n{'-' * len(section)}\n" in text, f"{topic}.{name}: {section}"
        for parameter in inspect.signature(function).parameters:
            listed = text.split("Returns\n")[0]
            assert parameter in listed, f"{topic}.{name}: {parameter}"


@pytest.mark.parametrize("topic", TOPICS)
def test_modules_stay_short(topic):
    module = importlib.import_module(f"optimizer.engineering.{topic}")
    assert len(inspect.getsource(module).splitlines()) < 300


def test_import_brings_nothing_heavy():
    imports = ", ".join(f"optimizer.engineering.{topic}" for topic in TOPICS)
    heavy = "{'numpy', 'pydantic', 'yaml', 'ortools', 'highspy', 'rich', 'shapely'}"
    code = f"import sys, {imports}; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
