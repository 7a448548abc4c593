"""Settings of the property tests: no deadline for one example, since a busy machine is no fault of the physics."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
