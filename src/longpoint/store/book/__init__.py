"""The build book: batches and their plans, copies of works, ticks, measured values, photographs."""
