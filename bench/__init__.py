"""Speed and quality beside peer libraries; see `python -m bench`."""
