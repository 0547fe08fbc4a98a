// What the command line of loombench says, and the commands and options that say it.
#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "answer.h"
#include "find.h"
#include "sheet.h"
#include "verify.h"

namespace loomproof::bench {

inline constexpr const char* default_packs = "generated/packs";

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

// All subcommands with their help; what is parsed goes to `arguments`, which must outlive the app.
void add_commands(CLI::App& app, Arguments& arguments);

}  // namespace loomproof::bench
