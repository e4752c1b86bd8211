"""Candidates against the control: pure functions from result tables to verdicts; no file.

study = load_study(text, "fillers.toml")            # tiecoat.compare.study
comparison = compare(                               # tiecoat.compare.comparison
    study,
    results={kind: archive.evaluate(kind) for kind in study.kinds()},
    batches=archive.read("batches"),
    panels=archive.read("panels"),                  # only like is compared with like
    filed=archive.measurements(),                   # as the coats were on the day
    raw={kind: archive.read(kind) for kind in study.raw_kinds()},
    choices=archive.lab.settings.evaluate,
    conditions=conditions_of_kinds(                 # tiecoat.ask.offered
        study.counted_kinds(), archive.lab.own_readers
    ),
)
comparison.table()                                  # verdicts, a row each
comparison.values()                                 # what stands behind them, a row a panel
rank(comparison).chances                            # tiecoat.compare.ranking
trend_table(dose_trends(comparison))                # tiecoat.compare.dose
"""
