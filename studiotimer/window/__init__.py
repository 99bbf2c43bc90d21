"""The Qt window: reads state, makes calls; nothing below imports it."""

# Once Qt is loaded it reads the source of every module imported after it; what does not use it comes first.
import studiotimer.session.choices
import studiotimer.session.cues
import studiotimer.session.live
import studiotimer.session.memory  # noqa: F401
from studiotimer.apart import fill_in

fill_in()
