


def main() -> None: ...
