"""The invented picture and the invented papers: generated, never photographed or measured."""

from __future__ import annotations

from importlib import import_module

_PUBLIC = {"demo_picture": "workbench.demo.picture", "demo_papers": "workbench.demo.papers"}

__all__ = ["demo_papers", "demo_picture"]


def __getattr__(name: str):
    if name not in _PUBLIC:
        raise AttributeError(f"module 'workbench.demo' has no attribute {name!r}")
    value = getattr(import_module(_PUBLIC[name]), name)
    globals()[name] = value
    return value
