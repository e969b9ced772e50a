from __future__ import annotations

from preview.trials.trial_sheet import trial_sheet_picture


def test_the_sheet_holds_every_trial(heights):
    sheet = trial_sheet_picture(heights)
    high, wide = heights[0].of_blade(lined=True).shape[:2]
    assert wide < heights[0].picture.shape[1]
    assert sheet.shape[0] > 2 * high
    assert sheet.shape[1] > 2 * wide
    for trial in heights:
        rows = dict(trial.rows())
        assert {"stays bright", "finest line", "pattern slides", "ground off this face", "pattern not on it"} <= set(
            rows
        )
