"""Tunes: a page each with parts to see and hear, their list and their files."""
