"""What zones of a site do, in words: a sentence for each, or all about some."""

from __future__ import annotations

from zonewright.desk.job import Job
from zonewright.desk.zones import zones_meant
from zonewright.site.record import ZoneNumber
from zonewright.words.explain import explain
from zonewright.words.matrix import matrix
from zonewright.words.sentence import IN_SENTENCES, sentence
from zonewright.words.tracks import called


def sentences(job: Job) -> dict[ZoneNumber, str]:
    """Return what each zone does, in a sentence."""
    made = matrix(job.setup, IN_SENTENCES)
    return {zone.number: called(sentence(made, zone.number), job.names) for zone in job.setup.zones}


def explained(job: Job, word: str) -> dict[ZoneNumber, str]:
    """Return all about the zones that a number or a name means; raises `BadInput` if there is none."""
    return {zone: called(explain(job.setup, zone).text(), job.names) for zone in zones_meant(job.resolved, word)}
