"""A class on one server: what JupyterHub is told, and what it starts for each student.

The whole of a teacher's ``jupyterhub_config.py``, but for who may come in::

    from workbench.serving import serve_class

    serve_class(c, shelf="/srv/print-planning/shelf")
"""

from workbench.serving.settings import class_environment, serve_class

__all__ = ["class_environment", "serve_class"]
