"""From a finished site folder to one that can be carried away: policy, take-away files, service worker."""

from beginnerband.render.finish.finish import finish, pack

__all__ = ["finish", "pack"]
