"""What a programmed panel keeps in every state it can reach, at any second: promises, and how they are settled.

May import: findings, site, panel, behaviour, words. `promises` says what is promised, `prover` looks at everything that
may happen, `prove.py` settles promises by what the prover finds, and `why` explains a verdict. `docs/proofs.md` says
why this is sound.
"""
