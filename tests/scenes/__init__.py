"""Scenes: the real program on a virtual screen, driven by keys and clicks, read from outside, with pictures.

`python -m tests.scenes OUT [--only N]` plays them and leaves a picture at each moment where something is shown.
"""
