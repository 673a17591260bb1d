"""Brings in the demo's generator (colour, files, noise, geometry, cloth and hair dynamics, plants), which this one builds upon."""
import os, sys

HERE = os.path.dirname(os.path.abspath(__file__))
DEMO = os.path.normpath(os.path.join(HERE, "..", "..", "..", "demo", "generator"))
sys.path.insert(1, DEMO)
from core import *                                        # noqa: E402,F401,F403
from core import _chunk                                   # noqa: E402,F401
