"""Tasks that wait for one another in a circle."""

from collections.abc import Iterator

from shop.core.plan.problem import Problem, Task


def circle_in(problem: Problem) -> list[Task]:
    """The tasks of one circle, each waiting for the next; empty where there is none."""
    by_key = {task.key: task for task in problem.tasks}
    done: set[str] = set()
    for first in problem.tasks:
        path: list[str] = []
        on_path: set[str] = set()
        stack: list[tuple[str, Iterator[str]]] = []
        if first.key not in done:
            stack.append((first.key, iter(first.after)))
            path.append(first.key)
            on_path.add(first.key)
        while stack:
            key, earlier = stack[-1]
            for other in earlier:
                if other in on_path:
                    return [by_key[k] for k in path[path.index(other) :]]
                if other not in done:
                    stack.append((other, iter(by_key[other].after)))
                    path.append(other)
                    on_path.add(other)
                    break
            else:
                stack.pop()
                path.pop()
                on_path.discard(key)
                done.add(key)
    return []
