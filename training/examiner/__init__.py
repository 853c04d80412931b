"""The examiner of the verdict: prints of presses, paths, scanners and eyes that nothing here was taught on."""
