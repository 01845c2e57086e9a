"""Pictures of gaits from the command line."""

import matplotlib.image
import pytest

from tests.cli.conftest import Command


@pytest.mark.usefixtures("home")
def test_every_gait_of_the_example_is_drawn(tradeopt: Command) -> None:
    ended = tradeopt("gaits", "levee_rounds", "--output", "pictures")
    assert ended.exit_code == 0, ended.stderr
    drawn = [line.removeprefix("drawn: ") for line in ended.stderr.splitlines()]
    assert [name.split("_", 1)[1] for name in drawn] == ["steady.png", "brisk.png", "standing.png"]
    for name in drawn:
        picture = matplotlib.image.imread(name)
        assert picture[..., :3].std() > 0.05, "more than an empty sheet"


@pytest.mark.usefixtures("home")
def test_a_folder_that_cannot_be_is_told(tradeopt: Command) -> None:
    ended = tradeopt("gaits", "levee_rounds", "--output", "/dev/null/pictures")
    assert ended.exit_code == 1
    assert "Not a directory" in ended.stderr
