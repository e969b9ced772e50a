"""All settings together: the job, its checks, its file, the forge's calibration, and work that is kept."""
