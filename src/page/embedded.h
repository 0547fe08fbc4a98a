// page.css and page.js by name, put into the program by the build. Internal to the page.
#pragma once
#include <map>
#include <string>

namespace loomproof::page {

std::map<std::string, std::string> embedded_files();

}  // namespace loomproof::page
