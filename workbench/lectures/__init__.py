"""Lectures: question, guess, knob, figure, reason, exercise; presented, handed out, taken away.

`lecture` begins one, `shown` and `widgets` are its parts, `stage.js` presents it one idea at a
time, `reading` takes a lecture out of its notebook, `handout` and `page` make paper and HTML of it.
"""

from workbench.lectures.lecture import Lecture, lecture

__all__ = ["Lecture", "lecture"]
