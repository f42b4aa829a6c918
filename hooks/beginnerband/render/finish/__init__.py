"""From a finished site folder to one that can be carried away: policy, take-away files, service worker."""

from beginnerband.render.finish.finish import finish, pack
from beginnerband.render.finish.takeaway import Awaited

__all__ = ["Awaited", "finish", "pack"]
