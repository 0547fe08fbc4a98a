// loombench: what compiled packs say, at the bench. Reads packs and nothing else.
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <optional>

#include "answer.h"
#include "diag/render.h"
#include "find.h"
#include "identify.h"
#include "jobs.h"
#include "page_sheet.h"
#include "session.h"
#include "sheet.h"
#include "source/files.h"
#include "verify.h"

namespace loomproof::bench {
namespace {

enum Exit { clean = 0, findings = 1, usage = 2, bug = 3 };

constexpr const char* default_packs = "generated/packs";

struct Arguments {
  std::vector<std::string> packs;
  std::string format = "text";
  std::string family, what, id, job;
  Choice choice;
  FitChoice fit;
  size_t keep = 1;
  RepinChoice repin;
  std::string colour = "keep";
  std::string other_family;
  AdaptChoice adapt;
  SheetChoice sheet;
  bool plan = false, ask = false, looks_only = false;
  FindChoice find;
  std::string wire_colours;
  std::string place;
  std::string against = "comb";
};

size_t terminal_width() {
  winsize size{};
  if (::isatty(STDOUT_FILENO) && ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 40)
    return size.ws_col;
  return 80;
}

std::vector<std::string> packs_or_default(const std::vector<std::string>& packs) {
  return packs.empty() ? std::vector<std::string>{default_packs} : packs;
}

Format format_of(const std::string& word) {
  if (word == "text") return Format::text;
  if (word == "json") return Format::json;
  if (word == "markdown") return Format::markdown;
  throw UsageError(fmt::format("no format \"{}\"; there is text, json, markdown", word));
}

// Throws EnvironmentError where standard output takes no more.
void print(const std::string& text) {
  if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
    throw EnvironmentError("standard output: cannot write");
}

int run_list(const Arguments& arguments) {
  const Format format = format_of(arguments.format);
  const std::vector<PackFile> packs = open_packs(packs_or_default(arguments.packs));
  print(render(list_packs(packs), format, terminal_width()));
  const bool refused = std::any_of(packs.begin(), packs.end(), [](const PackFile& pack) { return !pack.opened.pack; });
  return refused ? findings : clean;
}

int run_show(const Arguments& arguments) {
  const Format format = format_of(arguments.format);
  const Family family = load_family(packs_or_default(arguments.packs), arguments.family);
  const Scope scope(family, arguments.choice);
  const auto answer = [&] {
    if (arguments.what == "circuit") {
      if (arguments.id.empty()) throw UsageError("say which circuit: show FAMILY circuit ID");
      return show_circuit(scope, arguments.id);
    }
    if (arguments.what == "combination") {
      if (arguments.id.empty()) throw UsageError("say which combination: show FAMILY combination ID");
      return show_combination(family, arguments.id);
    }
    if (!arguments.id.empty()) throw UsageError(fmt::format("\"{}\" is one word too many", arguments.id));
    if (arguments.what == "combinations") return show_combinations(family);
    const Target target = parse_target(family, arguments.what);
    return target.cavity.empty() ? show_connector(scope, target) : show_cavity(scope, target);
  }();
  print(render(answer, format, terminal_width()));
  return clean;
}

int run_sheet(const Arguments& arguments) {
  std::string checksum;
  const Family family = load_family(packs_or_default(arguments.packs), arguments.family, &checksum);
  make_sheet(Scope(family, arguments.choice), arguments.sheet, checksum);
  return clean;
}

// The family of the command line, or of the job where there is one.
Family family_for(const Arguments& arguments, const std::optional<JobFile>& job, std::string* checksum = nullptr) {
  if (!job && arguments.family.empty()) throw UsageError("say which family, or give a job with --job (see --help)");
  return load_family(packs_or_default(arguments.packs), job ? family_of(*job, arguments.family) : arguments.family,
                     checksum);
}

// The page as a sheet to tick off, where --sheet asks for it.
void keep_on_paper(const Arguments& arguments, const Answer& answer, const Family& family,
                   const std::string& checksum) {
  if (arguments.sheet.out.empty()) return;
  const std::string foot = fmt::format("{} ({}), pack {}", family.text(family.title), family.text(family.id), checksum);
  write_sheet(sheet_of(answer.page, foot), arguments.sheet.paper, arguments.sheet.out);
}

void check_paper(const Arguments& arguments) {
  if (!arguments.sheet.out.empty()) check_sheet_choice(arguments.sheet.paper, arguments.sheet.out);
}

int run_fit(Arguments& arguments) {
  const Format format = format_of(arguments.format);
  std::optional<JobFile> job;
  if (!arguments.job.empty()) job.emplace(arguments.job);
  const Family family = family_for(arguments, job);
  if (job) add_job(family, *job, arguments.fit);
  const Fit fit = fit_parts(family, arguments.fit, arguments.keep);
  print(render(fit.answer, format, terminal_width()));
  return fit.fits ? clean : findings;
}

int run_repin(Arguments& arguments) {
  const bool csv = arguments.format == "csv";
  const Format format = csv ? Format::text : format_of(arguments.format);
  if (arguments.colour != "keep" && arguments.colour != "free")
    throw UsageError(fmt::format("--colour takes keep or free, not \"{}\"", arguments.colour));
  arguments.repin.any_colour = arguments.colour == "free";
  check_paper(arguments);
  std::optional<JobFile> job;
  if (!arguments.job.empty()) job.emplace(arguments.job);
  std::string checksum;
  const Family family = family_for(arguments, job, &checksum);
  if (job) add_job(family, *job, arguments.repin);
  if (arguments.repin.place.empty() || arguments.repin.from.empty())
    throw UsageError("say which loom is in hand: PLACE and --from, or a job with --job (see --help)");
  const Repin repin = repin_loom(family, arguments.repin);
  keep_on_paper(arguments, repin.answer, family, checksum);
  print(csv ? repin.csv : render(repin.answer, format, terminal_width()));
  return repin.proven ? clean : findings;
}

int run_adapt(const Arguments& arguments) {
  const bool csv = arguments.format == "csv";
  const Format format = csv ? Format::text : format_of(arguments.format);
  const std::vector<std::string> packs = packs_or_default(arguments.packs);
  const Family left = load_family(packs, arguments.family);
  const Family right = load_family(packs, arguments.other_family);
  const Adapt adapt = adapt_sides(left, right, arguments.adapt);
  print(csv ? adapt.csv : render(adapt.answer, format, terminal_width()));
  return adapt.complete ? clean : findings;
}

int run_identify(const Arguments& arguments) {
  if (arguments.plan + arguments.ask + arguments.looks_only > 1)
    throw UsageError("--plan, --ask and --looks-only are three ways: take one");
  const Format format = format_of(arguments.format);
  check_paper(arguments);
  JobFile job(arguments.job);
  std::string checksum;
  const Family family = load_family(packs_or_default(arguments.packs), job.job().family.text, &checksum);
  const FamilyIndex index(family);
  if (arguments.plan) {
    const Answer plan = plan_sheet(index, job);
    keep_on_paper(arguments, plan, family, checksum);
    print(render(plan, format, terminal_width()));
    return clean;
  }
  if (arguments.looks_only) {
    const Answer card = buying_card(index, job);
    keep_on_paper(arguments, card, family, checksum);
    print(render(card, format, terminal_width()));
    return clean;
  }
  if (arguments.ask)
    return ask_through(index, arguments.job, arguments.place, terminal_talk(terminal_width())) ? clean : findings;
  const Identified identified = identify_parts(index, job);
  keep_on_paper(arguments, identified.answer, family, checksum);
  print(render(identified.answer, format, terminal_width()));
  return identified.leads ? clean : findings;
}

int run_verify(Arguments& arguments) {
  const bool csv = arguments.format == "csv";
  const Format format = csv ? Format::text : format_of(arguments.format);
  if (arguments.against != "comb" && arguments.against != "neighbours")
    throw UsageError(fmt::format("--against takes comb or neighbours, not \"{}\"", arguments.against));
  check_paper(arguments);
  std::optional<JobFile> job;
  if (!arguments.job.empty()) job.emplace(arguments.job);
  std::string checksum;
  const Family family = family_for(arguments, job, &checksum);
  if (job) add_job(family, *job, arguments.repin);
  VerifyChoice choice{arguments.repin.place, arguments.repin.from, arguments.repin.found,
                      arguments.against == "neighbours"};
  if (choice.place.empty() || choice.from.empty())
    throw UsageError("say which loom is to be proven: PLACE and --from, or a job with --job (see --help)");
  std::vector<BenchPart> parts;
  const BenchPart* read = nullptr;
  if (job) {
    parts = bench_parts(FamilyIndex(family), *job);
    for (const BenchPart& part : parts)
      if (part.place == place_named(family, choice.place)) read = &part;
  }
  const Verify verify = verify_loom(family, choice, read);
  keep_on_paper(arguments, verify.answer, family, checksum);
  print(csv ? verify.csv : render(verify.answer, format, terminal_width()));
  return !read || verify.complete ? clean : findings;
}

int run_find(Arguments& arguments) {
  const Format format = format_of(arguments.format);
  std::string word;
  for (const char c : arguments.wire_colours + ",") {
    if (c != ',') {
      word += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
      continue;
    }
    if (!word.empty()) arguments.find.looks.colours.push_back(word);
    word.clear();
  }
  const identify::PlugLooks& looks = arguments.find.looks;
  if (looks.ways == 0 && looks.rows == 0 && looks.housing.empty() && looks.key.empty() && looks.colours.empty())
    throw UsageError("say what the plug looks like: --ways, --rows, --key, --housing or --colours (see --help)");
  for (const std::string& colour : looks.colours) {
    const bool is_code = colour.size() >= 2 && colour.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ/") == colour.npos;
    if (!is_code) throw UsageError(fmt::format("\"{}\" is no colour code, as in GN or GN/WH (IEC 60757)", colour));
  }
  const Find find = find_plug(open_packs(packs_or_default(arguments.packs)), arguments.find);
  print(render(find.answer, format, terminal_width()));
  return find.count > 0 ? clean : findings;
}

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
      "  loombench list croft.loompack --format json\n"
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
  show->add_option("--with", arguments.choice.with, "Only with this option; may be given several times")
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
  sheet->add_option("--era", arguments.choice.era, "In this era")->type_name("ERA");
  sheet->add_option("--with", arguments.choice.with, "With this option; may be given several times")
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

int fail(std::string_view what, int status) {
  std::fprintf(stderr, "loombench: %s\n", printable(what).c_str());
  return status;
}

int run(int argc, char** argv) {
  Arguments arguments;
  CLI::App app("What compiled packs of wiring looms say, at the bench. Reads packs and nothing else.", "loombench");
  app.require_subcommand(1);
  app.set_version_flag("--version", LOOMPROOF_VERSION);
  add_list(app, arguments);
  add_show(app, arguments);
  add_find(app, arguments);
  add_sheet(app, arguments);
  add_fit(app, arguments);
  add_repin(app, arguments);
  add_adapt(app, arguments);
  add_identify(app, arguments);
  add_verify(app, arguments);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& success) {  // --help, --version
    return app.exit(success) == 0 ? clean : usage;
  } catch (const CLI::ParseError& error) {
    return fail(fmt::format("{} (see --help)", error.what()), usage);
  }
  if (app.got_subcommand("list")) return run_list(arguments);
  if (app.got_subcommand("sheet")) return run_sheet(arguments);
  if (app.got_subcommand("find")) return run_find(arguments);
  if (app.got_subcommand("identify")) return run_identify(arguments);
  if (app.got_subcommand("verify")) return run_verify(arguments);
  if (app.got_subcommand("repin")) return run_repin(arguments);
  if (app.got_subcommand("adapt")) return run_adapt(arguments);
  return app.got_subcommand("show") ? run_show(arguments) : run_fit(arguments);
}

}  // namespace
}  // namespace loomproof::bench

int main(int argc, char** argv) {
  using namespace loomproof;
  try {
    return bench::run(argc, argv);
  } catch (const bench::JobFaults& faults) {
    std::fputs(faults.what(), stderr);
    return bench::usage;
  } catch (const bench::UsageError& error) {
    return bench::fail(error.what(), bench::usage);
  } catch (const EnvironmentError& error) {
    return bench::fail(error.what(), bench::usage);
  } catch (const std::bad_alloc&) {
    return bench::fail("out of memory", bench::usage);
  } catch (const std::exception& error) {
    return bench::fail(fmt::format("a bug in the program: {}", error.what()), bench::bug);
  }
}
