"""The bundle for people without Python, tried where there is none."""
