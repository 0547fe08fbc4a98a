#include "options.h"

#include <fmt/format.h>

namespace loomproof::bench {
namespace {

void add_format(CLI::App& command, Arguments& arguments) {
  command.add_option("--format", arguments.format, "text, json or markdown")->type_name("FORMAT");
}

void add_packs(CLI::App& command, Arguments& arguments) {
  command
      .add_option("--packs", arguments.packs,
                  fmt::format("Pack files or folders of them; without any, {}", default_packs))
      ->type_name("PACKS")
      ->expected(1)
      ->take_all();
}

void add_job_option(CLI::App& command, Arguments& arguments) {
  command.add_option("--job", arguments.job, "A job file: its family, the parts known for sure, what was found done")
      ->type_name("FILE");
}

void add_bench_sheet(CLI::App& command, Arguments& arguments) {
  command.add_option("--sheet", arguments.sheet.out, "Also as a sheet to tick off, .svg or .pdf")->type_name("FILE");
  command.add_option("--paper", arguments.sheet.paper, "Of the sheet: A4 (without it), A3 or Letter")
      ->type_name("PAPER");
}

void add_list(CLI::App& app, Arguments& arguments) {
  CLI::App* list = app.add_subcommand("list", "What packs hold: families, eras, options, places, parts, counts");
  list->add_option("packs", arguments.packs,
                   fmt::format("Pack files or folders of them; without any, {}", default_packs))
      ->type_name("PACKS");
  add_format(*list, arguments);
  list->footer(
      "Example:\n"
      "  loombench list\n"
      "  loombench list generated/packs/croft.loompack --format json\n"
      "Exit status: 0 all packs are sound, 1 a pack is refused, 2 usage or environment, 3 a bug in the program.");
}

void add_show(CLI::App& app, Arguments& arguments) {
  CLI::App* show = app.add_subcommand("show", "A connector, a cavity, a circuit from end to end, known combinations");
  show->add_option("family", arguments.family, "The id of a family")->required()->type_name("");
  show->add_option(
          "what", arguments.what,
          "PLACE.C1 or part.C1: a connector; PLACE.C1.12: one cavity; circuit or combination: whose id follows; "
          "combinations: all that are known")
      ->required()
      ->type_name("");
  show->add_option("id", arguments.id, "The id of the circuit or combination")->type_name("");
  show->add_option("--era", arguments.choice.era, "Only this era")->type_name("ERA");
  show->add_option("--with", arguments.choice.with, "Only with this option; several by commas or one by one")
      ->delimiter(',')
      ->type_name("OPTION=VALUE")
      ->expected(1)
      ->take_all();
  add_packs(*show, arguments);
  add_format(*show, arguments);
  show->footer(
      "Example:\n"
      "  loombench show croft CHASSIS-LOOM.C1 --era b\n"
      "  loombench show croft PUMP-UNIT.X1.12 --with supply=24V\n"
      "  loombench show croft circuit RACK-POS\n"
      "  loombench show croft combinations\n"
      "  loombench show croft combination unit-12-on-24\n"
      "Without --era and --with, whatever differs between eras and options is shown once for each range in which it "
      "holds.\n"
      "A cavity is wired, empty, sealed, disputed or unknown; unknown means that nobody has looked, never that it is "
      "empty.\n"
      "Exit status: 0 shown, 2 usage or environment, 3 a bug in the program.");
}

void add_sheet(CLI::App& app, Arguments& arguments) {
  CLI::App* sheet = app.add_subcommand("sheet", "On paper: a connector, a whole loom, or what differs between eras");
  sheet->add_option("family", arguments.family, "The id of a family")->required()->type_name("");
  sheet->add_option("what", arguments.sheet.what, "PLACE.C1 or part.C1: a connector; PLACE: all of its connectors")
      ->required()
      ->type_name("");
  sheet->add_option("--between", arguments.sheet.between, "What differs in PLACE: eras, or an option")
      ->type_name("eras|OPTION");
  sheet->add_flag("--plug-check", arguments.sheet.plug_check, "To check plugs by eye, with boxes to tick");
  sheet->add_option("--era", arguments.choice.era, "In this era")->type_name("ERA");
  sheet->add_option("--with", arguments.choice.with, "With this option; several by commas or one by one")
      ->delimiter(',')
      ->type_name("OPTION=VALUE")
      ->expected(1)
      ->take_all();
  sheet->add_option("--out", arguments.sheet.out, "The file to write, .svg or .pdf")->required()->type_name("FILE");
  sheet->add_option("--paper", arguments.sheet.paper, "A4 (without it), A3 or Letter")->type_name("PAPER");
  add_packs(*sheet, arguments);
  sheet->footer(
      "Examples:\n"
      "  loombench sheet croft CHASSIS-LOOM.C1 --era c --with exhaust-brake=none \\\n"
      "      --out c1.pdf\n"
      "  loombench sheet croft CAB-LOOM --era d --out cab.pdf --paper A3 \\\n"
      "      --with exhaust-brake=none --with supply=24V\n"
      "  loombench sheet croft PUMP-UNIT --between eras --out changes.svg\n"
      "  loombench sheet croft TAIL-LOOM --era c --plug-check --out check.pdf\n"
      "Portrait or landscape, whichever takes fewer pages; the pages of an SVG stand below\n"
      "each other. Where what is asked for differs between what --era and --with leave, the\n"
      "variants are named and nothing is written.\n"
      "Exit status: 0 written, 2 usage or environment, 3 a bug in the program.");
}

void add_fit(CLI::App& app, Arguments& arguments) {
  CLI::App* fit = app.add_subcommand("fit", "Whether parts work together, what suffers, and the smallest mend");
  fit->add_option("family", arguments.family, "The id of a family; a job says it as well")->type_name("");
  fit->add_option("parts", arguments.fit.parts, "Eras and options (era=c,supply=24V), a part's id, or none")
      ->type_name("PLACE:WHAT");
  fit->add_option("--others", arguments.fit.others, "What stands in the places that are not named: eras and options")
      ->type_name("WHAT");
  fit->add_option("--have", arguments.fit.have, "A part on the shelf for a place that is not named; several times")
      ->type_name("PLACE:WHAT")
      ->expected(1)
      ->take_all();
  fit->add_option("--found", arguments.fit.found, "What was done to a part since it was built; several times")
      ->type_name("'PLACE: EDIT'")
      ->expected(1)
      ->take_all();
  add_job_option(*fit, arguments);
  fit->add_option("--keep", arguments.keep, "How many fillings of the open places to list; 1 without")->type_name("N");
  add_packs(*fit, arguments);
  add_format(*fit, arguments);
  fit->footer(
      "Example:\n"
      "  loombench fit croft PUMP-UNIT:unit-12-c \\\n"
      "      --others era=c,exhaust-brake=none,supply=24V\n"
      "  loombench fit croft CHASSIS-LOOM:era=b,supply=12V,exhaust-brake=none \\\n"
      "      CAB-LOOM:era=c --keep 5\n"
      "  loombench fit croft --others era=c,exhaust-brake=none,supply=24V \\\n"
      "      --found 'CHASSIS-LOOM: bridged C1.8 C1.4'\n"
      "  loombench fit --job truck.yaml --others era=c,supply=24V\n"
      "An edit is: cut C1.12 [C21.2], moved C1.12 C1.28, tapped C1.3 C9.1, bridged C1.1\n"
      "C1.2, added C1.7 E1, high-resistance E1 ohm 4, earth-gone E1, plug-gone C7,\n"
      "strap-missing E2.\n"
      "Places that are not named are filled with what fits best; --others limits them\n"
      "to a build, --have to a shelf. Judged in every permitted state of switches and\n"
      "relays. Currents through loads are not solved: a lamp fed backwards through\n"
      "others is not found. What rests on a cavity that nobody knows is never called\n"
      "fitting.\n"
      "Exit status: 0 fits, with or without loose ends; 1 any other verdict, not proven\n"
      "included; 2 usage or environment; 3 a bug in the program.");
}

void add_repin(CLI::App& app, Arguments& arguments) {
  CLI::App* repin = app.add_subcommand("repin", "How to turn one loom into another, or make it suit, step by step");
  repin->add_option("family", arguments.family, "The id of a family; a job says it as well")->type_name("");
  repin->add_option("place", arguments.repin.place, "The place of the loom; a job says it as well")->type_name("PLACE");
  repin->add_option("--from", arguments.repin.from, "The loom in hand, by eras and options")->type_name("SPEC");
  repin->add_option("--to", arguments.repin.to, "What it is to become")->type_name("SPEC");
  repin->add_option("--others", arguments.repin.others, "Instead of --to: the build that it has to suit")
      ->type_name("SPEC");
  repin->add_option("--beside", arguments.repin.beside, "A part beside it that is not of that build; several times")
      ->type_name("PLACE:WHAT")
      ->expected(1)
      ->take_all();
  repin->add_option("--found", arguments.repin.found, "What was done to the loom in hand since; several times")
      ->type_name("EDIT")
      ->expected(1)
      ->take_all();
  add_job_option(*repin, arguments);
  repin->add_option("--colour", arguments.colour, "keep: a wire of another colour is replaced; free: it serves")
      ->type_name("keep|free");
  add_bench_sheet(*repin, arguments);
  add_packs(*repin, arguments);
  repin->add_option("--format", arguments.format, "text, markdown, csv (the steps alone) or json")->type_name("FORMAT");
  repin->footer(
      "Example:\n"
      "  loombench repin croft CHASSIS-LOOM \\\n"
      "      --from era=b,exhaust-brake=none,supply=24V \\\n"
      "      --to era=c,exhaust-brake=none,supply=24V\n"
      "  loombench repin croft TAIL-LOOM --from era=c --to era=c \\\n"
      "      --found 'moved T1.1 T1.2' --found 'moved T1.2 T1.1'\n"
      "  loombench repin croft CHASSIS-LOOM \\\n"
      "      --from era=b,exhaust-brake=none,supply=24V \\\n"
      "      --others era=b,exhaust-brake=none,supply=24V --beside PUMP-UNIT:unit-24-c\n"
      "With --others the loom becomes what suits the parts beside it: a recorded loom,\n"
      "or itself with its ends where their partners have the same circuit; whatever\n"
      "is judged best with the work done, then takes the fewest operations.\n"
      "SPEC is a comma list of axis=value, as in era=c,supply=24V. An axis may be left\n"
      "out where the loom does not differ along it.\n"
      "An EDIT is one of:\n"
      "  cut C1.12 [C21.2]           the wires there are cut\n"
      "  moved C1.12 C1.28           the wire end of the first sits in the second\n"
      "  tapped C1.3 C9.1            a branch leads from the wire at the first\n"
      "  bridged C1.1 C1.2           the two are joined\n"
      "  added C1.7 E1               a wire that the record does not have\n"
      "  high-resistance E1 ohm 4    what ends there does so through a resistance\n"
      "  earth-gone E1               the ring is on no metal\n"
      "  plug-gone C7                the plug is cut off, its wires hang\n"
      "  strap-missing E2 [B2.1]     the earth leads that end there are gone\n"
      "tapped, bridged and added may be followed by: circuit ID, colour BN/WH, mm2 1.5.\n"
      "What is not said of the loom in hand is as recorded. No step touches a firing\n"
      "circuit. Cavities that nobody knows are to be looked at first.\n"
      "Exit status: 0 a plan that is proven, 1 not proven or refused, 2 usage or\n"
      "environment, 3 a bug in the program.");
}

void add_adapt(CLI::App& app, Arguments& arguments) {
  CLI::App* adapt = app.add_subcommand("adapt", "An adapter list, pin to pin, between two loose plugs or parts");
  adapt->add_option("family", arguments.family, "The family of the left side")->required()->type_name("");
  adapt->add_option("side", arguments.adapt.left, "What is loose there")->required()->type_name("SIDE");
  adapt->add_option("other-family", arguments.other_family, "The family of the right side; it may be the same")
      ->required()
      ->type_name("");
  adapt->add_option("other-side", arguments.adapt.right, "What is loose there")->required()->type_name("SIDE");
  adapt
      ->add_option("--packs", arguments.packs,
                   fmt::format("Pack files or folders of them; without any, {}", default_packs))
      ->type_name("PACKS")
      ->expected(1)
      ->take_all();
  adapt->add_option("--format", arguments.format, "text, markdown, csv (one line a pin) or json")->type_name("FORMAT");
  adapt->footer(
      "Example:\n"
      "  loombench adapt croft PUMP-UNIT.X1:era=c,supply=12V \\\n"
      "      croft CHASSIS-LOOM.C1:era=b,exhaust-brake=none,supply=12V\n"
      "  loombench adapt trailer-12v TOW-VEHICLE.C1:era=ed2012,coupling=13-way \\\n"
      "      trailer-12v TRAILER.C1:era=ed2012,coupling=12N+TRAILER.C1:era=ed2012,coupling=12S\n"
      "SIDE is PLACE.C1 or part.C1, one connector, or PLACE alone, all that its part\n"
      "has; behind a colon eras and options, as in PUMP-UNIT.X1:era=c,supply=24V. An\n"
      "axis may be left out where nothing of the side differs along it. Several with +\n"
      "between make one side.\n"
      "A component is taken by itself; a loom in its own vehicle as it was built, less\n"
      "what the loose plugs go to.\n"
      "Pins are matched by circuit (within one family), terminal designation and\n"
      "function; role and volts decide among equal names. Each pair is judged by the\n"
      "role table. What is ambiguous is listed as a choice; cavities that are unknown\n"
      "or disputed and firing circuits are never matched.\n"
      "Exit status: 0 every need is met and nothing is left to choose or to look at; 1\n"
      "otherwise; 2 usage or environment; 3 a bug in the program.");
}

void add_identify(CLI::App& app, Arguments& arguments) {
  CLI::App* identify = app.add_subcommand("identify", "Which recorded variant a part on the bench is most like");
  identify->add_option("job", arguments.job, "The job file")->required()->type_name("JOB");
  identify->add_flag("--plan", arguments.plan, "Print the whole procedure as a decision sheet, from the first reading");
  identify->add_flag("--ask", arguments.ask,
                     "Ask reading by reading at the terminal; every answer goes into the job file");
  identify->add_flag("--looks-only", arguments.looks_only,
                     "Print a card for buying: what to see on each variant, without a meter");
  identify->add_option("--place", arguments.place, "With --ask: which of the parts on the bench")->type_name("PLACE");
  add_bench_sheet(*identify, arguments);
  add_packs(*identify, arguments);
  add_format(*identify, arguments);
  identify->footer(
      "Example:\n"
      "  loombench identify truck.yaml\n"
      "  loombench identify truck.yaml --plan\n"
      "  loombench identify truck.yaml --ask\n"
      "truck.yaml, the least that a job says:\n"
      "  family: croft\n"
      "  bench: {TAIL-LOOM: {}}\n"
      "  readings:\n"
      "    - {plug: T1, is: present}\n"
      "    - {plug: T1, count: BN, is: 2}\n"
      "    - {cavity: T1.3, colour: BK/WH}\n"
      "    - {between: [T1.1, T2.58], beeps: yes}\n"
      "Readings are weighed by how often things go wrong: broken wires, slipped probes,\n"
      "faded colours, lost plugs, wrong labels. Edits that explain them are tried, looms\n"
      "joined from two, and none of those recorded. No reading is asked for at a firing\n"
      "circuit. Telling recorded variants apart confirms none of them.\n"
      "Exit status: 0 one stands out (95 %) at every place, 1 open, 2 usage, environment\n"
      "or a job with faults, 3 a bug in the program.");
}

void add_find(CLI::App& app, Arguments& arguments) {
  CLI::App* find = app.add_subcommand("find", "Which recorded plugs look like the one in hand, over all packs");
  find->add_option("--ways", arguments.find.looks.ways, "How many cavities it has")
      ->check(CLI::Range(1, 1000))
      ->type_name("N");
  find->add_option("--rows", arguments.find.looks.rows, "In how many rows they stand")
      ->check(CLI::Range(1, 100))
      ->type_name("N");
  find->add_option("--key", arguments.find.looks.key, "Words of its key, latch, kind or colour: 'bevelled corner'")
      ->type_name("WORDS");
  find->add_option("--housing", arguments.find.looks.housing, "The id of its housing, where that is known")
      ->type_name("ID");
  find->add_option("--colours", arguments.wire_colours, "Wires that are in it, base and tracer: RD,GN/WH,BN")
      ->type_name("CODES");
  find->add_option("--keep", arguments.find.keep, "How many to show; 20 without it")
      ->check(CLI::Range(1, 10000))
      ->type_name("N");
  add_packs(*find, arguments);
  add_format(*find, arguments);
  find->footer(
      "Example:\n"
      "  loombench find --ways 12 --rows 2\n"
      "  loombench find --ways 4 --colours GY/RD,BN,BK/WH\n"
      "Ways, rows, key and housing have to agree; those with most of the colours come\n"
      "first. A colour that is near is one that dirt or fading makes of it.\n"
      "Exit status: 0 something looks so, 1 nothing does, 2 usage or environment, 3 a bug\n"
      "in the program.");
}

void add_verify(CLI::App& app, Arguments& arguments) {
  CLI::App* verify =
      app.add_subcommand("verify", "The checks that prove a loom circuit by circuit, and what readings prove");
  verify->add_option("family", arguments.family, "The id of a family; the job's where left out")->type_name("");
  verify->add_option("place", arguments.repin.place, "The place whose loom is in hand")->type_name("PLACE");
  verify->add_option("--from", arguments.repin.from, "Which loom it should be: era=c,supply=24V")->type_name("SPEC");
  verify
      ->add_option("--found", arguments.repin.found,
                   "What was done to it since: 'cut C1.12'; several times for several")
      ->type_name("EDIT")
      ->expected(1)
      ->take_all();
  verify
      ->add_option(
          "--against", arguments.against,
          "How bridges are looked for: comb (each net against all others), or neighbours (beside it in a plug)")
      ->type_name("HOW");
  add_job_option(*verify, arguments);
  add_bench_sheet(*verify, arguments);
  add_packs(*verify, arguments);
  verify->add_option("--format", arguments.format, "text, markdown, csv (one line a check) or json")
      ->type_name("FORMAT");
  verify->footer(
      "Example:\n"
      "  loombench verify croft TAIL-LOOM --from era=c\n"
      "  loombench verify --job truck.yaml\n"
      "With a job, `known:` says which loom it should be (known: [TAIL-LOOM:era=c]), and\n"
      "its readings are entered: what passes, what is open or bridged, what is left.\n"
      "  - {between: [T1.1, T2.58], beeps: yes}\n"
      "  - {comb: T1.1, beeps: no}\n"
      "Opens take n - 1 checks a net of n ends; bridges one a net against a comb that\n"
      "joins all others. Checks are ordered so that plugs change seldom. Firing circuits\n"
      "are never on the sheet; what nobody has recorded stays unproven.\n"
      "Exit status: 0 the sheet was printed, or with a job: the loom is proven to be as\n"
      "recorded; 1 it is not; 2 usage, environment or a job with faults; 3 a bug in the\n"
      "program.");
}

}  // namespace

void add_commands(CLI::App& app, Arguments& arguments) {
  add_list(app, arguments);
  add_show(app, arguments);
  add_find(app, arguments);
  add_sheet(app, arguments);
  add_fit(app, arguments);
  add_repin(app, arguments);
  add_adapt(app, arguments);
  add_identify(app, arguments);
  add_verify(app, arguments);
}

}  // namespace loomproof::bench
