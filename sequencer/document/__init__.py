"""What is said of a plan or a job, in blocks, before any medium; ``sequencer.render`` lays the blocks out."""
