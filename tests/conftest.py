"""How property tests run. One profile for every day, one for CI, one that searches for hours.

quick (the default) and ci try the same inputs every time: a test that fails says something about the change just made, and a
commit that passed here passes there. New inputs are the business of `deep`, which draws them at random and keeps what failed.
No profile has a deadline for one input: a busy machine is no fault of the code.
"""

from hypothesis import HealthCheck, settings

collect_ignore = ["fuzz"]  # run by hand, with a library that only it needs

settings.register_profile("quick", deadline=None, derandomize=True)
settings.register_profile("ci", deadline=None, derandomize=True, max_examples=300, print_blob=True)
settings.register_profile(
    "deep",
    deadline=None,
    max_examples=1000,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("quick")
