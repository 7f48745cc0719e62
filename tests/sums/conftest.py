from tests.hostile.fixtures import advisor, common_cache, ordinary

__all__ = ["advisor", "common_cache", "ordinary"]
