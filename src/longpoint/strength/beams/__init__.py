"""The frame as beams: sections, joints, seams, elements, and the model they make."""
