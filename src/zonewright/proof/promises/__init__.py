"""What is promised of a panel: each promise in words, with its judge or observer and what it takes for granted.

May import: `proof.prover`. Start in `promise.py` (what a promise is) and `properties.py` (all that follow from the
panel), then `asked.py` (all that are asked of a site) and `to_owner.py` (the owner's own statements). `judges.py` says
what one event is: an opening, a call for the sounder, a message.
"""
