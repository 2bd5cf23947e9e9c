"""Assemblies: parts of machines that are described once, and included in a machine file with a prefix.

    include:
      - {assembly: wheel-end, version: 1, as: rf, at: arch, with: {bolts: 5, head: 21}, without: [abs-sensor]}

``shelf`` finds the file, beside the machine file or in the library; ``parameters`` reads what can be given;
``fitting`` puts the prefix before all its names and the machine's positions and tools in the place of its own
(``references`` knows which keys name things); ``including`` lays what the machine file says itself over it.
"""
