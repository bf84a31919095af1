"""What can be done and noticed on a site: acts, surroundings, single slips of the keying, and tests of a device.

May import: behaviour, words, proof, entry, reporting, and what these may. Start in `acting.py` (what a person does at a
device becomes what the panel hears) and `observing.py` (what a person and the station can tell of it); then
`slipped.py` (every single slip of a Programme), `surroundings.py` (devices that aren't heard, a dead sounder, troubles
that stand) and `candidates.py` (every field test that is decent at a site). `householder.py` tells what a layman may
try.
"""
