"""The project file as one validated model: the only place that knows the file's keys."""

from collections.abc import Mapping
from typing import Any, Literal, Self

from pydantic import Field, PrivateAttr, ValidationInfo, model_validator

from quiltpath.language import message
from quiltpath.patterns.kinds import AnyLayer
from quiltpath.patterns.own_drawing import DrawingLayer
from quiltpath.patterns.same_names import tell_apart
from quiltpath.project.document_sections import AlsoSection, LookSection, PaperSection
from quiltpath.project.materials_sections import (
    BackingSection,
    BastingSection,
    BindingSection,
    ClothSection,
    InstructionsSection,
    MaterialsSection,
    PanelSection,
    QuiltedSection,
    StockSection,
    SwatchSection,
    TableSection,
    TopSection,
)
from quiltpath.project.runner_sections import (
    GridSection,
    MotifSection,
    PrintSection,
    RunnerSection,
    size_from_table,
)
from quiltpath.project.sewing_sections import (
    CostSection,
    MachineSection,
    SewingSection,
    StitchSection,
    ThreadSection,
    TimeSection,
    WaddingSection,
)
from quiltpath.schema import Section, bare_unit
from quiltpath.units import MM_PER_INCH, UNITS_OF_PAPERS, Units, both_units

MACHINE_FOOT = message("the machine's own quilting foot")

SAME_MM = 0.01

MOST_ENTRIES = 200
"""Layers or motifs in one project: the work is bounded before it starts."""


class Project(Section):
    """Everything that one project file says. Lengths are in mm; names are still the user's."""

    title: str = Field(default="Table runner", max_length=120)
    """what the runner is called on all papers"""
    units: Literal["mm", "cm", "in"] | None = None
    """unit of bare numbers"""
    patterns_folder: str | None = None
    """a folder with the user's own patterns, beside the project file"""
    runner: RunnerSection
    grid: GridSection | None = None
    print: PrintSection | None = None
    """measures of a print that does not lie square"""
    motif: tuple[MotifSection, ...] = Field(default=(), max_length=MOST_ENTRIES)
    quilting: tuple[AnyLayer, ...] = Field(default=(), max_length=MOST_ENTRIES)
    """the layers of quilting, in the order in which they are sewn"""
    stitch: StitchSection = StitchSection.left_out()
    sewing: SewingSection = SewingSection.left_out()
    thread: ThreadSection = ThreadSection.left_out()
    time: TimeSection = TimeSection.left_out()
    wadding: WaddingSection = WaddingSection.left_out()
    machine: MachineSection = MachineSection.left_out()
    cost: CostSection = CostSection.left_out()
    look: LookSection = LookSection.left_out()
    table: TableSection | None = None
    panel: tuple[PanelSection, ...] = ()
    cloth: tuple[ClothSection, ...] = ()
    materials: MaterialsSection = MaterialsSection.left_out()
    top: TopSection = TopSection.left_out()
    backing: BackingSection = BackingSection.left_out()
    basting: BastingSection = BastingSection.left_out()
    binding: BindingSection = BindingSection.left_out()
    quilted: QuiltedSection = QuiltedSection.left_out()
    swatch: tuple[SwatchSection, ...] = ()
    stock: StockSection = StockSection.left_out()
    instructions: InstructionsSection = InstructionsSection.left_out()
    paper: PaperSection = PaperSection.left_out()
    also: AlsoSection = AlsoSection.left_out()

    @model_validator(mode="before")
    @classmethod
    def _size_from_the_table(cls, value: Any, info: ValidationInfo) -> Any:
        return size_from_table(value, bare_unit(info))

    @model_validator(mode="after")
    def _drop_fits_the_length(self) -> Self:
        if self.table is not None and self.runner.length is not None:
            self.table.check_length(self.runner.length)
        return self

    _file_name: str = PrivateAttr(default="project")
    _drawings: dict[str, bytes] = PrivateAttr(default_factory=dict)
    _entry_of_layer: tuple[int, ...] = PrivateAttr(default=())

    def __repr__(self) -> str:
        return f"Project({self.title!r}, {len(self.quilting)} layers, {len(self.motif)} motifs)"

    __str__ = __repr__

    @property
    def file_name(self) -> str:
        """Name of the project file, for messages."""
        return self._file_name

    @property
    def named_drawings(self) -> tuple[tuple[str, str], ...]:
        """The files beside the project, with the keys that name them."""
        outline = self.runner.outline_svg
        named = [("runner.outline_svg", outline)] if outline is not None else []
        motifs = enumerate(self.motif, start=1)
        named += [(f"motif[{i}].file", motif.file) for i, motif in motifs if motif.file is not None]
        layers = enumerate(self.quilting, start=1)
        named += [(f"quilting[{i}].file", x.file) for i, x in layers if isinstance(x, DrawingLayer)]
        panels = enumerate(self.panel, start=1)
        named += [(f"panel[{i}].picture", p.picture) for i, p in panels if p.picture is not None]
        profile = self.machine.own_profile
        return tuple([*named, ("machine.profile", profile)] if profile else named)

    @property
    def ruler_mark_mm(self) -> float:
        """The mark of a ruler to which parts of a pieced top are cut: 1/8 in or 1 mm."""
        told = self.handout_units
        metric = told == "metric" or (told == "both" and self.units in ("mm", "cm"))
        return 1.0 if metric else MM_PER_INCH / 8

    @property
    def handout_units(self) -> Units:
        """Units of all that people read: as asked for, else the file's own, else both."""
        return self.instructions.units or UNITS_OF_PAPERS.get(self.units, "both")

    @property
    def foot(self) -> str:
        """The foot as the file names it; a machine that moves the work has one of its own."""
        told = "foot" in self.instructions.model_fields_set
        return self.instructions.foot if told or not self.machine.profile else MACHINE_FOOT

    @property
    def sheets(self) -> tuple[str, ...]:
        """What is printed: as asked for; left out, marking guides, and nothing where a machine
        follows its files, for then no line is marked."""
        told = "sheets" in self.paper.model_fields_set
        return self.paper.sheets if told or not self.machine.profile else ()

    @property
    def sizes_of_table(self) -> tuple[str, str]:
        """How length and width follow from those of the table, for a person who gave neither; ""
        where the file itself gives one, or where it has no table."""
        table, runner = self.table, self.runner
        if table is None or runner.length is None or runner.width is None:
            return "", ""
        long, wide = both_units(table.length), both_units(table.width)
        drops = f", the table's {long} and twice the drop of {both_units(table.drop)}"
        own_length = abs(table.length + 2 * table.drop - runner.length) > SAME_MM
        own_width = abs(table.width / 3 - runner.width) > SAME_MM
        return "" if own_length else drops, "" if own_width else f", a third of the table's {wide}"

    def drawing(self, name: str) -> bytes:
        """The file of that name, read when the project was loaded."""
        return self._drawings[name]

    @property
    def entry_of_layer(self) -> tuple[int, ...]:
        """For each layer, the index of the [[quilting]] entry that it came from."""
        return self._entry_of_layer

    def with_files(
        self, file_name: str, drawings: Mapping[str, bytes], entry_of_layer: tuple[int, ...] = ()
    ) -> Self:
        """The same project, holding the files it names so that later floors touch no disk, its
        layers told apart."""
        layers = [
            layer.with_svg(drawings[layer.file]) if isinstance(layer, DrawingLayer) else layer
            for layer in self.quilting
        ]
        whole = self.model_copy(update={"quilting": tell_apart(layers)})
        whole._file_name = file_name
        whole._drawings = dict(drawings)
        whole._entry_of_layer = entry_of_layer
        return whole
