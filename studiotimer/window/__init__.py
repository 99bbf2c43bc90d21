"""The Qt window: reads state, makes calls; nothing below imports it."""
