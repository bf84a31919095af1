"""Message codecs of the open alarm-reporting standards, sans-IO: bytes or text in, records or faults out.

May import: nothing of Zonewright. Start in `dc05.py` (sixteen digits), then `dc03.py` (blocks of packets); `codes.py`
says what an event code means.
"""
