"""The dry film: thickness, gloss, pores, defects."""
