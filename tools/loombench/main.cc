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
#include "identify.h"
#include "jobs.h"
#include "options.h"
#include "page_sheet.h"
#include "session.h"
#include "source/files.h"

namespace loomproof::bench {
namespace {

enum Exit { clean = 0, findings = 1, usage = 2, bug = 3 };

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

int fail(std::string_view what, int status) {
  std::fprintf(stderr, "loombench: %s\n", printable(what).c_str());
  return status;
}

int run(int argc, char** argv) {
  Arguments arguments;
  CLI::App app("What compiled packs of wiring looms say, at the bench. Reads packs and nothing else.", "loombench");
  app.require_subcommand(1);
  app.set_version_flag("--version", LOOMPROOF_VERSION);
  add_commands(app, arguments);
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
