"""Many pictures judged on several papers: by a pool of processes, a cluster, or one thread.

`judging` is what happens to one picture, wherever that is; `journal` keeps what was found, so
that a survey can be gone on with; `many` hands the work out; `tables` and `page` show it.
"""

from workbench.surveys.many import Survey, survey

__all__ = ["Survey", "survey"]
