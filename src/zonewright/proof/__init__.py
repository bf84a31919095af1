"""What a programmed panel keeps in every state it can come to, at any second: promises, and how they are settled.

May import: findings, site, panel, behaviour. `promises` says what is promised, `prover` looks at everything that may
happen, `prove.py` settles the ones by the other, and `why` tells what a verdict rests on. `docs/proofs.md` tells why it
is sound.
"""
