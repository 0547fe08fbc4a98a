// loomproof: for those who keep a corpus. Each subcommand has a file of its own.
#include <fmt/format.h>

#include <cstdio>
#include <exception>

#include "command.h"
#include "diag/render.h"
#include "source/files.h"

using namespace loomproof;

int main(int argc, char** argv) {
  CLI::App app{"Loomproof proves curated wiring-loom data consistent and writes what a mechanic can print and probe."};
  app.name("loomproof");
  app.set_version_flag("--version", LOOMPROOF_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Examples:\n  loomproof check\n  loomproof build reference --out generated\n  loomproof explain dead-end\n\n"
      "Exit status: 0 clean, 1 findings, 2 usage or environment, 3 a bug in the program.");
  tool::Run chosen;
  tool::add_check(app, chosen);
  tool::add_build(app, chosen);
  tool::add_compare(app, chosen);
  tool::add_review(app, chosen);
  tool::add_trace(app, chosen);
  tool::add_rules(app, chosen);
  tool::add_explain(app, chosen);
  tool::add_start(app, chosen);
  tool::add_import(app, chosen);
  tool::add_tidy(app, chosen);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? tool::clean : tool::usage;
  }
  try {
    const int status = chosen();
    if (std::fflush(stdout) != 0) throw EnvironmentError("standard output: cannot write");
    return status;
  } catch (const EnvironmentError& error) {
    fmt::print(stderr, "loomproof: {}\n", printable(error.what()));  // names in it stand as they were given
    return tool::usage;
  } catch (const std::exception& error) {
    if (std::ferror(stdout) != 0) {  // noticed while something long was printed
      fmt::print(stderr, "loomproof: standard output: cannot write\n");
      return tool::usage;
    }
    fmt::print(stderr, "loomproof: a bug in the program: {}\n", error.what());
    return tool::bug;
  }
}
