"""The packet as the page asks for it: made from the job's answers and noted in the job."""

from io import BytesIO
from zipfile import ZipFile

import pytest

from buckwright.store import JobFile
from buckwright.web.serving import WORKS
from web.invented import make_job_file


@pytest.mark.slow
def test_a_packet_made_on_the_page_is_noted_in_the_job(tmp_path):
    path = tmp_path / "plover.buck"
    make_job_file(path)
    with JobFile.open(path) as file:
        assert file.step_states()["drawings"] == "not done"
    data = WORKS["packet"](path, lambda step, share: None, lambda: False)
    with ZipFile(BytesIO(data)) as archive:
        assert any(name.endswith("roll.pdf") for name in archive.namelist())
    with JobFile.open(path) as file:
        assert file.step_states()["drawings"] == "done"
        file.change("revision is now B", file.job().model_copy(update={"revision": "B"}))
        assert file.step_states()["drawings"] == "stale"
