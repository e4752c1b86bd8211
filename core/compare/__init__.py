"""Candidates against the control: pure functions from result tables to verdicts; no file.

study = load_study(text, "fillers.toml")            # tiecoat.compare.study
comparison = compare(                               # tiecoat.compare.comparison
    study,
    results={kind: archive.evaluate(kind) for kind in study.kinds()},
    batches=archive.read("batches"),
    raw={kind: archive.read(kind) for kind in study.raw_kinds()},
    panels=archive.read("panels"),                  # or coat systems are not told apart
    filed=archive.measurements(),                   # or each coat counts from the first day on
    choices=archive.lab.settings.evaluate,
)
comparison.table()                                  # verdicts, a row each
comparison.values()                                 # what stands behind them, a row a panel
rank(comparison).chances                            # tiecoat.compare.ranking
trend_table(dose_trends(comparison))                # tiecoat.compare.dose
"""
