"""Measures how long the verbs take; `./dev bench` prints the table. Never part of a test."""
