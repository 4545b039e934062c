"""Rulebooks: table kinds, parsing of text it is given, look-up forms, amendments, choice by date, digests."""
