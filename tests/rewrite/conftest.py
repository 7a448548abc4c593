import sys
from pathlib import Path

# The hand-made shop beside the tests; importmode=importlib puts no test folder on the path by itself.
sys.path.insert(0, str(Path(__file__).parent))
