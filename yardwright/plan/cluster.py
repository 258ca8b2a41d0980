"""Promise odds on a Dask cluster: the same figures, from more machines."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from yardwright.plan.odds import A, B, Map, R

if TYPE_CHECKING:
    from distributed import Client

REACHED_S = 10  # a scheduler that does not answer for so long is not there
RETRIES = 3  # a block that fails is tried again so often, on whichever machine is free


@contextmanager
def cluster(address: str) -> Iterator[Map]:
    """A ``map`` for ``odds`` and ``savers``: blocks of seasons, or changes, on a Dask cluster.

    A block whose machine is lost is simulated again by another; what comes out is the same, as
    its random numbers hang on seed and block alone.

    Parameters
    ----------
    address : str
        Of the cluster's scheduler, such as ``tcp://192.168.1.20:8786``. Its workers need this
        program and NumPy in the same versions as here.

    Yields
    ------
    Map
        To be given to ``odds`` as ``blocks``, to ``savers`` as ``mapped``, while the block of ``with`` lasts.

    Raises
    ------
    ValueError
        Dask is not installed; nobody answers at that address; the cluster has no worker.
    """
    with _client(address) as client:
        if not client.scheduler_info()["workers"]:
            raise ValueError(f"The cluster at {address} has no worker; start one there.")
        yield _mapped(client)


def _client(address: str) -> "Client":
    try:
        from distributed import Client
    except ImportError:
        raise ValueError("Dask is not installed; pip install 'yardwright[cluster]'.") from None
    try:
        return Client(address, timeout=REACHED_S)
    except (OSError, ValueError) as error:
        raise ValueError(
            f"No Dask cluster answers at {address}; give its scheduler's address, such as "
            "tcp://192.168.1.20:8786."
        ) from error


def _mapped(client: "Client") -> Map:
    def mapped(
        function: Callable[[A, B], R], asked: Iterable[A], each: Iterable[B], /
    ) -> Iterator[R]:
        sent: dict[int, object] = {}  # each plan goes over the wire once, as a task: one that is
        pairs = list(zip(asked, each, strict=False))  # lost with its machine is made again
        for one, _ in pairs:
            if id(one) not in sent:
                sent[id(one)] = client.submit(_itself, one, pure=False, retries=RETRIES)
        futures = [
            client.submit(function, sent[id(one)], other, pure=False, retries=RETRIES)
            for one, other in pairs
        ]
        try:
            for future in futures:
                yield future.result()
        finally:  # where nobody asks for the rest
            client.cancel(futures)

    return mapped


def _itself(asked: A) -> A:
    return asked
