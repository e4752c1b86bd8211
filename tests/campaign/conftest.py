"""A lab before its first run and the calls of that run, traced once for all tests here."""

from __future__ import annotations

import random

import pytest
from known_exports import Supply
from lab_account import Account
from real_service import lay_out
from traced_run import Call, calls_of

from tiecoat.cli import main

SEED = 20261125


@pytest.fixture(scope="session")
def waiting(tmp_path_factory: pytest.TempPathFactory) -> Account:
    """A lab whose inbox holds one export of each sort, the register for a held one among them."""
    account = Account(tmp_path_factory.mktemp("waiting") / "lab")
    lay_out(account.root)
    supply = Supply(random.Random(SEED))
    account.drop(supply.of_unregistered_panel())
    main(["take", "--lab", str(account.root)])
    sorts = (supply.spectrum, supply.densities, supply.twin, supply.retold, supply.rival)
    for way in (*sorts, supply.broken):
        account.drop(way())
    register = supply.register()
    assert register
    account.drop(register)
    return account


@pytest.fixture(scope="session")
def calls(waiting: Account, tmp_path_factory: pytest.TempPathFactory) -> list[Call]:
    """The calls of a run that takes all of that in, undisturbed."""
    folder = tmp_path_factory.mktemp("undisturbed")
    return calls_of(waiting.copy(folder / "lab"), folder)
