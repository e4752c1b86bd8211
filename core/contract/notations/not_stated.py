"""The closed word of kinds for what an export need not say."""

from __future__ import annotations

NOT_STATED = "not stated"
